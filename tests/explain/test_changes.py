"""What changed: nothing where nothing did, everything that did, true of both advices."""

from __future__ import annotations

from copy import deepcopy
from itertools import pairwise

import pytest

from cds.explain.changes import Change, changes, sentences
from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.explain.decided import all_decided, one
from tests.support.expected import FORBIDDEN
from tests.support.fixtures import base, decider

VISITS = ("first-visit", "second-visit", "third-visit", "fourth-visit", "fifth-visit",
          "sixth-visit")  # fmt: skip


def visit(name: str) -> Advice:
    deciding = decider()
    return deciding.decide(read_case(deciding.vocabulary, base(name)))


def between(before: Advice, after: Advice) -> list[Change]:
    return changes(decider().program, before, after)


def about(found: list[Change], kind: str) -> list[Change]:
    return [change for change in found if change["about"] == kind]


def test_nothing_is_said_when_nothing_changed() -> None:
    for item in all_decided():
        assert changes(item.decider.program, item.advice, deepcopy(item.advice)) == []
    assert sentences([]) == []


def test_another_edition_is_said_first() -> None:
    before, after = visit("first-visit"), visit("third-visit")
    before["edition"] = {**before["edition"], "digest": "0" * 64}
    found = between(before, after)
    assert found[0]["about"] == "edition" and "rule book changed" in sentences(found)[0]
    assert len(found) > 1
    [only] = between({**after, "edition": before["edition"]}, after)
    assert only["about"] == "edition"


def test_a_step_down_names_the_rule_that_tightened() -> None:
    before = visit("third-visit")
    after = one("step-down-guarding-up").advice
    limits = {c["name"]: c for c in about(between(before, after), "limit") if "level" not in c}
    tight = limits["mobilization"]
    assert (tight["direction"], tight["after"]) == ("tightened", "grade_2")
    assert tight["rules"] == ["guarding-worse-since-last"]
    back = {c["name"]: c for c in about(between(after, before), "limit") if "level" not in c}
    assert back["mobilization"]["direction"] == "loosened"
    assert back["mobilization"]["rules"] == ["guarding-worse-since-last"]
    assert "no longer held by" in back["mobilization"]["text"]


def test_an_emergency_changes_headline_care_referral_and_concern() -> None:
    found = between(visit("sixth-visit"), one("cord-several-signs").advice)
    assert {"headline", "status", "care", "referral", "concern", "treated", "path", "card",
            "limit", "next_step"} <= {change["about"] for change in found}  # fmt: skip
    [concern] = about(found, "concern")
    assert (concern["name"], concern["after"], concern["direction"]) == (
        "cord_compression", "emergency", "more",
    )  # fmt: skip
    assert all(change["direction"] == "gone" for change in about(found, "card"))


def test_questions_newly_open_and_answered() -> None:
    deciding = decider()
    full = base("first-visit")
    lacking = deepcopy(full)
    del lacking["answers"]["saddle_sensation"]
    before, after = (
        deciding.decide(read_case(deciding.vocabulary, case)) for case in (lacking, full)
    )
    settled = about(between(before, after), "question")
    assert ("saddle_sensation", "settled") in [(c["name"], c["direction"]) for c in settled]
    opened = about(between(after, before), "question")
    assert ("saddle_sensation", "opened") in [(c["name"], c["direction"]) for c in opened]
    said = [text for text in sentences(between(after, before)) if text.startswith("Newly open")]
    assert len(said) == 1


def test_levels_come_and_go() -> None:
    one_level, two = visit("sixth-visit"), one("consent-thoracolumbar-covers-both").advice
    new = about(between(one_level, two), "level")
    assert {(c["level"], c["direction"]) for c in new} >= {("T12", "new"), ("L5", "gone")}


@pytest.mark.parametrize("names", list(pairwise(VISITS)))
def test_what_is_said_is_true_of_both_and_complete(names: tuple[str, str]) -> None:
    before, after = (visit(name) for name in names)
    found = between(before, after)
    for change in found:
        assert change["text"].endswith(".") and not FORBIDDEN.search(change["text"])
        assert "_" not in change["text"]
        assert change.get("before", "") != change.get("after", "-")
    assert bool(about(found, "headline")) == (
        before["headline"]["text"] != after["headline"]["text"]
    )
    tops = [{s["level"]: (s["path"]["start_at"], s["path"]["up_to"]["now"])
             for s in advice["segments"]} for advice in (before, after)]  # fmt: skip
    both = set(tops[0]) & set(tops[1])
    assert {c["level"] for c in about(found, "path")} == {
        level for level in both if tops[0][level] != tops[1][level]
    }
    most = [{(limit["family"], limit.get("level")): limit["most"]["now"]
             for limit in advice["limits"]} for advice in (before, after)]  # fmt: skip
    differing = {key for key in set(most[0]) & set(most[1]) if most[0][key] != most[1][key]}
    assert differing <= {(c["name"], c.get("level")) for c in about(found, "limit")}
    for change in about(found, "limit"):
        key = change["name"], change.get("level")
        for side, known in (("before", most[0]), ("after", most[1])):
            if key in known:
                assert change[side] == known[key]  # type: ignore[literal-required]


def test_there_and_back_are_the_same_changes_turned_round() -> None:
    before, after = visit("second-visit"), one("cord-several-signs").advice
    there, back = between(before, after), between(after, before)
    ways = {(c["about"], c.get("name", ""), c.get("level", "")) for c in there}
    assert ways == {(c["about"], c.get("name", ""), c.get("level", "")) for c in back}
