from __future__ import annotations

from itertools import pairwise

import pytest

from cds.problems import CaseError, Problem
from cds.web.live import FIRST, ask_next, decided, grouped, live, states, wrong
from tests.support.shipped import shipped_service
from tests.web.sheets import BLOCKS, DAY, LATER, first_visit, record_after

SERVICE = shipped_service()
PROGRAM = SERVICE.program


def state(fields: dict[str, str], name: str) -> tuple[str, str]:
    found = live(SERVICE, fields)["states"].get(name, {"state": "open", "text": ""})
    return found["state"], found["text"]


def test_a_draft_is_the_decision_for_what_was_typed() -> None:
    found = decided(SERVICE, first_visit())
    assert found["headline"]["kind"] == "hands_on"
    assert (
        decided(SERVICE, first_visit(**{"a.bladder_function": "retention"}))["headline"]["kind"]
        == "emergency"
    )


def test_nothing_typed_is_not_settled_and_nothing_looks_like_a_no() -> None:
    found = live(SERVICE, {"as_of": DAY})
    assert found["advice"]["headline"]["kind"] == "not_settled"
    assert {s["state"] for s in found["states"].values()} <= {"owed", "open", "not_applicable"}
    assert all("not answered" in s["text"] or s["state"] == "not_applicable"
               for s in found["states"].values())  # fmt: skip


def test_not_answered_no_longer_counting_positive_and_no_each_have_their_word() -> None:
    before = record_after(first_visit(**{"a.weight_loss": "yes"}))
    later = {"as_of": LATER, "by": "th-1", "record": before}
    assert state({"as_of": DAY}, "a.saddle_sensation") == (
        "owed", "not answered: owed before any hands-on care",
    )  # fmt: skip
    kind, text = state(later, "a.pain")
    assert kind == "stale" and text.startswith("no longer counts: 5 of 20 November 2026, ")
    assert state(later, "a.weight_loss") == ("adverse", "positive: yes, 7 days ago")
    assert state(later, "a.blood_thinner") == ("kept", "none, 7 days ago")
    assert state({**later, "a.blood_thinner": "none"}, "a.blood_thinner") == (
        "answered", "none, today",
    )  # fmt: skip
    assert state({"as_of": DAY}, "a.t_score")[0] == "open"
    assert state(first_visit(), "a.leg_side") == ("not_applicable", "does not apply here")


def test_a_positive_of_several_words_and_a_number_beyond_its_limit_are_positives() -> None:
    fallen = first_visit(**{"a.new_trauma": "minor_fall"})
    assert state(fallen, "a.new_trauma") == ("adverse", "positive: minor fall, today")
    numbers = [f for f in PROGRAM.findings.values() if f.positive_from is not None]
    assert numbers
    for finding in numbers:
        if finding.applies_when is None and not finding.name.startswith("segment."):
            typed = {f"a.{finding.name}": format(finding.positive_from, "f")}
            assert state(first_visit(**typed), f"a.{finding.name}")[0] == "adverse", finding.name


def test_a_block_says_the_worst_of_its_members() -> None:
    assert state(first_visit(), "b.bone") == ("answered", "none, today")
    bad = first_visit(**{"b.bone": "some", "a.bone_disease": "osteoporosis"})
    assert state(bad, "b.bone")[0] == "owed"
    rest = {"a.fragility_fracture": "no", "a.bone_treatment": "none", "a.steroid_use": "none"}
    assert state({**bad, **rest}, "b.bone") == ("adverse", "positive: 1 of 4")
    assert state(first_visit(), "b.constant_pain")[0] in ("not_applicable", "open", "owed")


def test_a_reason_is_no_answer_and_says_so() -> None:
    kind, text = state(first_visit(**{"a.saddle_sensation": "~declined"}), "a.saddle_sensation")
    assert kind == "owed" and text.startswith("no answer (declined): owed")


def test_marked_levels_wait_for_the_word_on_all_levels() -> None:
    fields = first_visit(palpated="")
    kind, text = state(fields, "palpated")
    assert kind == "owed" and "the 1 marked above count once" in text
    assert state(first_visit(), "palpated") == ("answered", "answered today")


def test_what_matters_most_is_asked_first_and_a_block_once() -> None:
    advice = decided(SERVICE, {"as_of": DAY, "age": "34", "first": "yes"})
    asked = ask_next(PROGRAM, advice)
    names = [entry.field for entry in asked]
    assert len(names) == len(set(names))
    assert names.count("b.bone") == 1 and "a.bone_disease" not in names
    emergency = "could mean a referral: emergency"
    first = [entry.could == emergency for entry in asked]
    assert first[0] and first.index(False) > 3
    assert not any(first[first.index(False) :])
    assert all(entry.short and " - " not in entry.short for entry in asked)


def test_what_is_asked_next_is_owed_by_the_states_too() -> None:
    found = live(SERVICE, {"as_of": DAY, "age": "34", "first": "yes"})
    shown = [entry.field for _, members in found["next"] for entry in members]
    assert len(shown) == FIRST and found["more"] > 0
    for name in shown:
        assert found["states"][name]["state"] in ("owed", "stale"), name


def test_neighbours_with_the_same_consequence_stand_under_one_heading() -> None:
    found = live(SERVICE, {"as_of": DAY, "age": "34", "first": "yes"})
    headings = [could for could, _ in found["next"]]
    assert all(a != b for a, b in pairwise(headings))
    assert grouped([]) == []


def test_a_thoracic_level_is_treated_under_a_consent_for_its_region() -> None:
    fields = {name.replace("L4", "T11"): value for name, value in first_visit().items()}
    assert decided(SERVICE, fields)["headline"]["kind"] == "no_hands_on"
    fields["consent_region"] = "both"
    assert decided(SERVICE, fields)["headline"]["kind"] == "hands_on"
    assert state(fields, "consent_region") == ("answered", "answered today")


def test_every_problem_is_shown_at_its_field() -> None:
    fields = {
        "as_of": DAY, "age": "x", "sex": "q", "a.pain": "44", "b.bone": "maybe",
        "a.duration_days": "-4", "palpated": "yes", "s.L5.flexion": "up", "training.thrust": "so",
        "s.L4.a.provocation": "bad",
    }  # fmt: skip
    found = live(SERVICE, fields)
    assert found["advice"] is None and found["states"] == {}
    assert {problem.field for problem in found["problems"]} == {
        "age", "sex", "a.pain", "b.bone", "a.duration_days", "s.L5", "training.thrust",
        "s.L4.a.provocation",
    }  # fmt: skip
    with pytest.raises(CaseError):
        decided(SERVICE, fields)


def test_a_bad_record_is_the_problem_of_the_record() -> None:
    found = live(SERVICE, {"as_of": DAY, "record": '{"answers": {"pain": 99}}'})
    assert {problem.field for problem in found["problems"]} == {"record"}
    assert wrong([Problem("c", "m")])[0].field == ""


def test_a_state_belongs_to_a_field_of_the_sheet() -> None:
    found = states(PROGRAM, decided(SERVICE, first_visit()))
    fields = {f"a.{n}" for n in PROGRAM.findings} | {f"b.{b}" for b in PROGRAM.blocks}
    others = {"palpated", "first", "age", "sex", "consent.hands_on", "consent.thrust", "by"}
    assert all(n in fields or n in others or n.startswith(("s.", "training.")) for n in found)
    assert {f"b.{block}" for block in BLOCKS} <= found.keys()
