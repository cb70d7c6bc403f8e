"""The table for the session: every cell against the case decided by hand."""

from __future__ import annotations

from typing import Any

import pytest

from cds.vocabulary.advice import Advice
from cds.vocabulary.case import Step
from cds.vocabulary.reading import read_case
from cds.whatif.branches import Branch, SessionTable, seen_at, session_table
from tests.whatif.cases import data, fixture, shipped

NAMES = ("clinic-1-acute-pattern-early-thrust", "clinic-9-latch-in-session", "bone-density-low")
PLACE = shipped().resolver.place
LOWER = ("none", "mild", "moderate", "marked")


def table(name: str) -> SessionTable:
    return session_table(shipped(), fixture(name))


def cell(found: SessionTable, rung: str, branch: str, level: str = "L5") -> Branch:
    row = next(r for r in found["rows"] if (r["rung"], r["level"]) == (rung, level))
    return next(b for b in row["branches"] if b["branch"] == branch)


def by_hand(raw: dict[str, Any], level: str, before: list[str], rung: str, branch: str) -> Advice:
    """The session as a therapist's system would send it after that step."""
    raw["moment"] = "during_session"
    steps = raw.setdefault("today", {}).setdefault("steps", [])
    guarding = steps[-1]["guarding"] if steps else raw["answers"]["guarding"]
    guarding = guarding["value"] if isinstance(guarding, dict) else guarding
    pain = raw["answers"]["pain"]
    pain = pain["value"] if isinstance(pain, dict) else pain

    def step(at: str, **seen: Any) -> dict[str, Any]:
        found = {"rung": at, "level": level, "guarding": guarding, "pain": pain,
                 "spread": "none", "new_sign": "no", **seen}  # fmt: skip
        return {**found, "set_up": seen.get("set_up", "easy")} if at == "thrust" else found

    eased = LOWER[max(LOWER.index(guarding) - 1, 0)]
    shown: dict[str, Any] = {
        "guarding_eased": {"guarding": eased},
        "guarding_same": {},
        "guarding_worse": {"guarding": LOWER[min(LOWER.index(guarding) + 1, 3)]},
        "spread_distal": {"guarding": eased, "spread": "distal"},
        "new_sign": {"guarding": eased, "new_sign": "yes"},
        "pain_up": {"guarding": eased, "pain": pain + 2},
        "set_up_pain": {"guarding": eased, "set_up": "pain"},
        "set_up_resistance": {"guarding": eased, "set_up": "resistance"},
    }[branch]
    steps.extend(step(at) for at in before)
    steps.append(step(rung, **shown))
    return shipped().decide(read_case(shipped().vocabulary, raw))


@pytest.mark.parametrize("name", NAMES)
def test_every_cell_is_the_case_decided_by_hand(name: str) -> None:
    found = table(name)
    assert found["rows"]
    before: dict[str, list[str]] = {}
    for row in found["rows"]:
        done = before.setdefault(row["level"], [])
        for branch in row["branches"]:
            advice = by_hand(data(name), row["level"], done, row["rung"], branch["branch"])
            assert branch["headline"] == advice["headline"]["text"]
            assert branch["care_today"] == advice["care_today"]["now"]
            rungs = next(
                [s["rung"] for s in segment["path"]["steps"]]
                for segment in advice["segments"]
                if segment["level"] == row["level"]
            )
            fired = {s["rule"] for s in advice["chain"]["steps"] if s["status"] == "fired"}
            assert set(branch["rules"]) <= fired
            if branch["action"] in ("go_on", "stay", "step_down"):
                assert branch["to"] in rungs
                assert branch["no_higher_than"] == rungs[-1]
            elif branch["action"] == "emergency":
                assert advice["headline"]["kind"] == "emergency"
            else:
                assert branch["action"] == "stop"
                assert advice["status"] == "stopped" or rungs == []
        done.append(row["rung"])


@pytest.mark.parametrize("name", [*NAMES, "clinic-6-slip-and-group", "clinic-1-acute-pattern"])
def test_every_step_of_every_level_treated_has_every_branch(name: str) -> None:
    advice = shipped().decide(fixture(name))
    expected = [
        (segment["level"], step["rung"], step["gate"])
        for segment in advice["segments"]
        if segment["treat_today"]
        for step in segment["path"]["steps"]
    ]
    rows = table(name)["rows"]
    assert [(row["level"], row["rung"], row["gate"]) for row in rows] == expected
    assert rows
    for row in rows:
        branches = [branch["branch"] for branch in row["branches"]]
        assert len(branches) == len(set(branches))
        at = data(name)["answers"]["guarding"]
        steps = data(name).get("today", {}).get("steps", [])
        word = steps[-1]["guarding"] if steps else at["value"] if isinstance(at, dict) else at
        assert {"guarding_eased", "spread_distal", "new_sign", "pain_up"} <= set(branches)
        # guarding at its least cannot be the same without having eased, at its most not be worse
        assert ("guarding_same" in branches) == (word != "none")
        assert ("guarding_worse" in branches) == (word != "marked")
        assert all(branch["text"] and branch["headline"] for branch in row["branches"])


@pytest.mark.parametrize("name", NAMES)
def test_worse_never_leads_up_and_a_new_sign_is_an_emergency(name: str) -> None:
    for row in table(name)["rows"]:
        for branch in row["branches"]:
            if branch["branch"] == "new_sign":
                assert branch["action"] == "emergency"
                assert branch["cautions"] == []
            elif branch["branch"] != "guarding_eased":
                assert branch["action"] != "go_on"
            if branch["action"] == "step_down":
                assert PLACE[branch["to"]] < PLACE[row["rung"]]
            if branch["action"] == "go_on":
                assert PLACE[branch["to"]] == PLACE[row["rung"]] + 1


def test_eased_goes_on_and_the_same_stays() -> None:
    found = table("clinic-1-acute-pattern-early-thrust")
    assert cell(found, "muscle_energy", "guarding_eased")["to"] == "mobilization_1"
    same = cell(found, "muscle_energy", "guarding_same")
    assert (same["action"], same["rules"]) == ("stay", ["session-no-easing"])
    assert len(same["cautions"]) == 1


def test_worse_at_grade_two_goes_back_to_muscle_energy_or_grade_one() -> None:
    worse = cell(table("clinic-1-acute-pattern-early-thrust"), "mobilization_2", "guarding_worse")
    assert worse["action"] == "step_down"
    assert (worse["to"], worse["no_higher_than"]) == ("muscle_energy", "mobilization_1")
    assert worse["rules"] == ["session-worse-step-down"]


def test_nobody_bounces_up_within_a_session() -> None:
    """After a worsening, eased guarding at a gentle rung leaves grade I as the most of the day."""
    found = table("clinic-9-latch-in-session")
    assert {row["rung"] for row in found["rows"]} == {"muscle_energy", "mobilization_1"}
    for row in found["rows"]:
        for branch in row["branches"]:
            if "no_higher_than" in branch:
                assert PLACE[branch["no_higher_than"]] <= PLACE["mobilization_1"]
    top = cell(found, "mobilization_1", "guarding_eased")
    assert (top["action"], top["to"]) == ("stay", "mobilization_1")


def test_trouble_at_the_set_up_of_a_thrust_leaves_it_out() -> None:
    raw = data("pregnancy-not-asked")
    raw["answers"]["pregnancy"] = "no"
    found = session_table(shipped(), read_case(shipped().vocabulary, raw))
    for branch in ("set_up_pain", "set_up_resistance"):
        at = cell(found, "thrust", branch)
        assert at["action"] == "step_down"
        assert at["no_higher_than"] == "mobilization_4"
        assert "session-set-up-problem" in at["rules"]
    assert all(
        not b["branch"].startswith("set_up") for r in found["rows"] for b in r["branches"]
        if r["rung"] != "thrust"
    )  # fmt: skip


def test_what_cannot_be_seen_has_no_branch() -> None:
    quiet = Step("mobilization_1", "L5", guarding="marked", pain=9)
    names = [name for name, _ in seen_at(quiet, "marked", 9)]
    assert "guarding_worse" not in names
    assert "pain_up" not in names
    assert [name for name, _ in seen_at(quiet, "none", None)][:2] == [
        "guarding_eased", "guarding_worse",
    ]  # fmt: skip


def test_guarding_that_is_not_recorded_is_not_made_up() -> None:
    raw = data("clinic-1-acute-pattern-early-thrust")
    del raw["answers"]["guarding"]
    found = session_table(shipped(), read_case(shipped().vocabulary, raw))
    assert found["note"].startswith("Record guarding")
    for row in found["rows"]:
        assert not any(b["branch"].startswith("guarding") for b in row["branches"])


def test_no_hands_on_care_no_rows() -> None:
    for name in ("cauda-equina-bladder", "contact-nothing-new", "after-session-closed"):
        assert table(name)["rows"] == []
