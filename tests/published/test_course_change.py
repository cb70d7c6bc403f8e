"""Change over a course, through the rules: on, just under and just over what matters.

Ostelo 2008, Spine 33:90 (read): pain 2 points, disability index 10, Roland and Morris 5, or 30 % of
the start on any of them. Childs 2005, Spine 30:1331 (memory): pain 2 points. The 6 points of the
modified index (Fritz and Irrgang 2001, memory) are named and not used.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.support.fixtures import base, decider

MATTERS = "change-that-matters"
MISSING = "gain-missing"
FIRST_DAY, TODAY = "2026-10-30", "2026-11-20"


def fired(case: dict[str, Any]) -> set[str]:
    deciding = decider()
    advice: Advice = deciding.decide(read_case(deciding.vocabulary, case))
    return {step["rule"] for step in advice["chain"]["steps"] if step["status"] == "fired"}


def by_pain(start: int, now: int) -> set[str]:
    case = deepcopy(base("sixth-visit"))
    case["course"][0]["pain_before"] = start
    case["answers"]["pain"] = now
    return fired(case)


def by_score(name: str, start: int, now: int) -> set[str]:
    """Pain itself does not change, so that only the score can."""
    case = deepcopy(base("sixth-visit"))
    case["course"][0]["pain_before"] = case["answers"]["pain"]
    case["answers"][name] = [
        {"value": start, "observed": FIRST_DAY},
        {"value": now, "observed": TODAY},
    ]
    return fired(case)


# start, now, does it matter; 2 points part from 30 % at 7, and 30 % from 2 points at 3
PAIN = [
    (8, 7, False), (8, 6, True), (8, 5, True),
    (4, 3, False), (3, 2, True), (10, 7, True),
]  # fmt: skip


@pytest.mark.parametrize(("start", "now", "matters"), PAIN)
def test_pain_by_points_and_by_share(start: int, now: int, matters: bool) -> None:
    rules = by_pain(start, now)
    assert (MATTERS in rules) is matters
    # from the fifth visit on, what does not matter calls for a new examination
    assert (MISSING in rules) is not matters


SCORES = [
    # 10 points, where they are less than 30 %
    ("disability_index", 60, 51, False),
    ("disability_index", 60, 50, True),
    ("disability_index", 60, 49, True),
    # 30 %, where it is less than 10 points
    ("disability_index", 20, 15, False),
    ("disability_index", 20, 14, True),
    ("disability_index", 20, 13, True),
    # the 6 points of the modified index do not count
    ("disability_index", 40, 34, False),
    # 5 points, where they are less than 30 %
    ("roland_morris", 20, 16, False),
    ("roland_morris", 20, 15, True),
    ("roland_morris", 20, 14, True),
    # 30 %, where it is less than 5 points
    ("roland_morris", 10, 8, False),
    ("roland_morris", 10, 7, True),
    ("roland_morris", 10, 6, True),
]


@pytest.mark.parametrize(("name", "start", "now", "matters"), SCORES)
def test_function_by_points_and_by_share(name: str, start: int, now: int, matters: bool) -> None:
    assert (MATTERS in by_score(name, start, now)) is matters


@pytest.mark.parametrize(("name", "points"), [("disability_index", 10), ("roland_morris", 5)])
def test_one_score_alone_says_nothing_of_change(name: str, points: int) -> None:
    case = deepcopy(base("sixth-visit"))
    case["course"][0]["pain_before"] = case["answers"]["pain"]
    case["answers"][name] = points
    assert MATTERS not in fired(case)


# rise since the end of the last session; two points are a real change, one is not
@pytest.mark.parametrize(("after", "now", "up"), [(2, 3, False), (2, 4, True), (2, 5, True)])
def test_between_sessions_two_points_more_step_down(after: int, now: int, up: bool) -> None:
    case = deepcopy(base("sixth-visit"))
    case["course"][-1]["pain_after"] = after
    case["answers"]["pain"] = now
    assert ("pain-up-since-last" in fired(case)) is up


@pytest.mark.parametrize(("start", "now", "up"), [(4, 5, False), (4, 6, True), (4, 7, True)])
def test_within_a_session_two_points_more_step_down(start: int, now: int, up: bool) -> None:
    case = deepcopy(base("sixth-visit"))
    case["moment"] = "during_session"
    case["answers"]["pain"] = start
    step = {"rung": "mobilization_3", "level": "L5", "guarding": "none", "pain": now}
    case["today"] = {"steps": [{**step, "spread": "none", "new_sign": "no"}]}
    assert ("session-pain-up" in fired(case)) is up
