"""Two judged cases beside each other, in words."""

from __future__ import annotations

from copy import deepcopy

from cds.whatif.effects import State, changes, sentence, state
from cds.whatif.look import look
from tests.whatif.cases import fixture, shipped

PROGRAM = shipped().program


def base() -> State:
    return state(look(shipped(), fixture("clinic-1-acute-pattern-early-thrust")))


def test_nothing_changed_has_no_words() -> None:
    assert changes(PROGRAM, base(), base()) == []
    assert sentence([]) == "nothing changes by this answer alone"


def test_a_referral_a_concern_and_care() -> None:
    after = deepcopy(base())
    after["referrals"].append(
        {"to": "physician", "title": "Physician", "urgency": "same_day", "held_only": False}
    )
    after["concerns"].append({"condition": "x", "title": "Infection", "level": "high"})
    after["care_today"] = "no_hands_on"
    assert changes(PROGRAM, base(), after)[:3] == [
        "refer to Physician, same day", "concern of Infection: high", "no hands-on care",
    ]  # fmt: skip
    assert "no referral to Physician" in changes(PROGRAM, after, base())


def test_what_is_only_held_is_said_to_be() -> None:
    after = deepcopy(base())
    after["referrals"].append(
        {"to": "physician", "title": "Physician", "urgency": "urgent", "held_only": True}
    )
    assert changes(PROGRAM, base(), after) == ["refer to Physician, urgent, held until answered"]


def test_a_referral_that_is_there_already_is_told_when_its_urgency_or_its_hold_changes() -> None:
    before, after = deepcopy(base()), deepcopy(base())
    entry = {"to": "physician", "title": "Physician", "urgency": "routine", "held_only": False}
    before["referrals"] = [{**entry}]  # type: ignore[typeddict-item]
    after["referrals"] = [{**entry, "urgency": "urgent"}]  # type: ignore[typeddict-item]
    assert changes(PROGRAM, before, after) == ["refer to Physician, urgent"]
    after["referrals"] = [{**entry, "held_only": True}]  # type: ignore[typeddict-item]
    assert changes(PROGRAM, before, after) == [
        "refer to Physician, routine: only held until answered"
    ]
    assert changes(PROGRAM, after, before) == ["refer to Physician, routine: no longer only held"]


def test_rungs_and_thrust() -> None:
    before = deepcopy(base())
    entry = before["levels"][0]
    entry.update({"up_to": "mobilization_2", "thrust": False})
    after = deepcopy(before)
    after["levels"][0].update({"up_to": "thrust", "thrust": True})
    assert changes(PROGRAM, before, after) == [f"thrust opens at {entry['level']}"]
    assert changes(PROGRAM, after, before)[0].startswith("thrust is shut, no higher than")
    after["levels"][0].update({"up_to": "mobilization_3", "thrust": False})
    assert changes(PROGRAM, before, after) == [f"up to Mobilization grade III at {entry['level']}"]
    assert changes(PROGRAM, after, before)[0].startswith("no higher than Mobilization grade II")
    after["levels"][0].update({"up_to": "exercise_only", "thrust": False})
    assert changes(PROGRAM, before, after) == [f"every hands-on rung is shut at {entry['level']}"]
    before["levels"][0].update({"up_to": "thrust", "thrust": True})
    assert changes(PROGRAM, before, after)[0].startswith("thrust is shut, and every hands-on rung")


def test_answers_owed() -> None:
    after = deepcopy(base())
    after["owed"] = base()["owed"] + 2
    assert changes(PROGRAM, base(), after) == ["2 more answers owed"]
    after["owed"] = base()["owed"] + 1
    assert changes(PROGRAM, after, base()) == ["1 fewer answer owed"]
