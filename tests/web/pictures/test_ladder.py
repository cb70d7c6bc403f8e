from __future__ import annotations

from typing import Any

import pytest

from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from cds.web.pictures.ladder import RungShown, ladder
from tests.support.shipped import shipped_service
from tests.web.case_fields import demo, fixture


def advised(case: dict[str, Any]) -> Advice:
    decider = shipped_service().decider
    return decider.decide(read_case(decider.vocabulary, case))


def shown(advice: Advice, level: str) -> tuple[RungShown, ...]:
    (segment,) = [one for one in advice["segments"] if one["level"] == level]
    return ladder(shipped_service().program, advice, segment)


CASES = {
    "first": (demo("first_visit"), "L5"),
    "sixth": (demo("sixth_visit"), "L4"),
    "slip": (fixture("clinic-6-slip-and-group"), "L5"),
    "slip, flexed": (fixture("clinic-6-slip-and-group"), "L2"),
}


@pytest.mark.parametrize("name", CASES)
def test_every_hands_on_rung_once_the_highest_first(name: str) -> None:
    case, level = CASES[name]
    rungs = shown(advised(case), level)
    assert [rung.place for rung in rungs] == list(range(len(rungs), 0, -1))
    assert rungs[0].rung == "thrust" and rungs[-1].rung == "muscle_energy_low"


@pytest.mark.parametrize("name", CASES)
def test_the_rungs_of_today_are_those_of_the_path(name: str) -> None:
    case, level = CASES[name]
    advice = advised(case)
    (segment,) = [one for one in advice["segments"] if one["level"] == level]
    steps = [step["rung"] for step in segment["path"]["steps"]]
    assert [r.rung for r in reversed(shown(advice, level)) if r.state == "today"] == steps
    highest = max(r.place for r in shown(advice, level) if r.state == "today")
    for rung in shown(advice, level):
        assert (rung.state == "shut") == (rung.place > highest)


@pytest.mark.parametrize("name", CASES)
def test_every_shut_rung_says_what_keeps_it_shut(name: str) -> None:
    case, level = CASES[name]
    for rung in shown(advised(case), level):
        assert bool(rung.keepers) == (rung.state == "shut"), rung.rung


def test_a_contraindication_and_local_policy_are_told_apart() -> None:
    """Expected from the fixture: the slip bars thrust at L5; at L2 only policy and the rest do."""
    advice = advised(fixture("clinic-6-slip-and-group"))
    at_l5 = {(k.word, rule) for r in shown(advice, "L5") for k in r.keepers for rule in k.rules}
    assert ("contraindication", "slip-high-grade") in at_l5
    assert ("local policy", "thrust-not-before-floor") in at_l5
    at_l2 = {k.word for r in shown(advice, "L2") for k in r.keepers}
    assert "contraindication" not in at_l2 and "local policy" in at_l2


def test_what_waits_for_an_answer_is_open_and_named_so() -> None:
    case = demo("sixth_visit")
    answers = {k: v for k, v in case["answers"].items() if k != "saddle_sensation"}
    rungs = shown(advised({**case, "answers": answers}), "L4")
    waiting = [k for rung in rungs for k in rung.keepers if k.open]
    assert waiting and {k.word for k in waiting} == {"not settled"}
    assert all(tag.open == (tag.word == "not settled") for rung in rungs for tag in rung.tags)


def test_the_limit_of_a_family_stands_at_its_highest_rung() -> None:
    """Expected from the fixture: thrust is barred at L5, mobilization up to grade II there."""
    found = {r.rung: r.limit for r in shown(advised(fixture("clinic-6-slip-and-group")), "L5")}
    assert found["thrust"] == "barred"
    assert found["mobilization_4"] == "grade II"
    assert found["mobilization_3"] == found["mobilization_1"] == ""
    assert found["muscle_energy"] == ""
