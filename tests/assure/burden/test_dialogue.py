from __future__ import annotations

from dataclasses import replace
from itertools import islice

import pytest

from cds.assure.burden.dialogue import AT_MOST, FOR_A_THRUST, Visitor
from cds.assure.burden.draw import Patient, first_visits, follow_up
from cds.assure.burden.measure import foreign, undeclared
from cds.rulebook.vetting import load_program
from tests.assure.burden.support import population, shipped
from tests.support.optional import ROOT


def patients(count: int) -> list[Patient]:
    return list(islice(first_visits(population(), 5), count))


def test_the_dialogue_ends_and_asks_nothing_twice() -> None:
    visitor = Visitor(shipped())
    for patient in patients(3):
        for visit in (patient, follow_up(population(), patient)):
            played = visitor.play(visit)
            named = [name for name in played.order if name in shipped().findings]
            assert len(named) == len(set(named))
            assert len(played.order) < AT_MOST
            assert played.everything.asked <= played.everything.single
            assert not [
                q["finding"]
                for q in played.last["open_questions"]
                if q["owed"] and q["reason"] == "not_asked" and q["finding"] in shipped().findings
            ]


def test_milestones_come_in_order() -> None:
    played = Visitor(shipped()).play(patients(1)[0])
    assert played.hands_on is not None
    assert 0 < played.hands_on.asked <= played.everything.asked
    assert "saddle_sensation" in played.order
    # what could mean an emergency comes before what only shapes the treatment
    assert played.order.index("saddle_sensation") < played.order.index("pain")


def test_a_follow_up_asks_less_than_a_first_visit() -> None:
    visitor = Visitor(shipped())
    first = [visitor.play(patient).everything.asked for patient in patients(4)]
    later = [
        visitor.play(follow_up(population(), patient)).everything.asked for patient in patients(4)
    ]
    assert sum(later) < sum(first)


def test_a_thrust_needs_the_examination_and_the_screen_of_the_day() -> None:
    visitor = Visitor(shipped())
    later = follow_up(population(), _calm(patients(1)[0]))
    plain, thrust = visitor.play(later), visitor.play(later, thrust=True)
    # the first of a block stands for all of it
    anew = _with_their_blocks(thrust.order)
    assert set(FOR_A_THRUST) <= anew
    assert not set(FOR_A_THRUST) <= _with_their_blocks(plain.order)
    used = {a["finding"]: a for a in thrust.last["answers"]["used"]}
    assert used["power"]["how"] == "examined"
    assert used["power"]["age_days"] == 0


def _with_their_blocks(order: list[str]) -> set[str]:
    found = set(order)
    for block in shipped().blocks.values():
        if found & set(block.findings):
            found |= set(block.findings)
    return found


def test_one_positive_of_a_block_is_one_answer_more() -> None:
    visitor = Visitor(shipped())
    calm = _calm(patients(1)[0])
    marked = replace(calm, answers={**calm.answers, "tuberculosis_risk": "yes"})
    less, more = visitor.play(calm), visitor.play(marked)
    assert less.hands_on is not None
    assert more.hands_on is not None
    assert more.hands_on.asked > less.hands_on.asked


def test_asked_one_by_one_or_all_at_once_the_headline_is_the_same() -> None:
    visitor = Visitor(shipped())
    for patient in patients(4):
        assert visitor.play(patient).last["headline"] is not None
        calm = _calm(patient)
        assert (
            visitor.play(calm).last["headline"]["kind"] == (visitor.whole(calm)["headline"]["kind"])
        )


def test_a_positive_is_heard_only_when_it_is_asked() -> None:
    visitor = Visitor(shipped())
    calm = _calm(patients(1)[0])
    numb = replace(calm, answers={**calm.answers, "saddle_sensation": "altered"})
    assert visitor.decide(visitor.blank(numb))["status"] == "ask_first"
    assert visitor.play(numb).last["status"] == "stopped"
    assert visitor.whole(numb)["headline"]["kind"] == "emergency"


def test_another_book_is_played_too_and_differences_are_listed() -> None:
    program = load_program(ROOT / "tests" / "rulebook" / "base")
    names = {entry.name for entry in population().findings}
    assert foreign(program, names)
    assert set(foreign(program, names)).isdisjoint(program.findings)
    assert set(undeclared(program, names)) <= set(program.findings)
    visitor = Visitor(program)
    for patient in patients(3):
        assert visitor.play(patient).last["status"]
        assert visitor.whole(follow_up(population(), patient))["status"]


def test_what_the_patient_cannot_say_stays_unknown() -> None:
    visitor = Visitor(shipped())
    said = visitor.said({"saddle_sensation": None, "pain": None}, "saddle_sensation")
    assert said == {"missing": "patient_unsure"}
    assert visitor.said({"saddle_sensation": "purple"}, "saddle_sensation") == {
        "missing": "cannot_assess"
    }


@pytest.mark.parametrize("consents", [True, False])
def test_without_consent_there_is_no_hands_on_care(consents: bool) -> None:
    calm = replace(_calm(patients(1)[0]), consents=consents)
    kind = Visitor(shipped()).whole(calm)["headline"]["kind"]
    assert (kind == "no_hands_on") is not consents


def _calm(patient: Patient) -> Patient:
    """A patient of 40 with the ordinary word for everything."""
    entries = [e for e in population().findings if e.words or e.given]
    words = {e.name: e.otherwise for e in entries if "." not in e.name}
    levels = tuple(
        replace(level, answers={"provocation": "concordant", "mobility": "stiff"})
        for level in patient.levels
    )
    answers = {**patient.answers, **words, "leg_side": "left", "onset": "sudden"}
    return replace(
        patient, age=40, sex="male", condition="none", answers=answers, levels=levels, consents=True
    )


def test_what_does_not_apply_to_the_patient_is_not_in_the_record() -> None:
    visitor = Visitor(shipped())
    patient = follow_up(population(), patients(1)[0])
    thin = {"blood_thinner": "none", "inr_above_target": "yes", "bruising": "yes"}
    without = visitor.blank(replace(patient, answers={**patient.answers, **thin}))["answers"]
    assert "blood_thinner" in without
    assert not {"inr_above_target", "bruising"} & set(without)
    taken = {**patient.answers, **thin, "blood_thinner": "anticoagulant"}
    assert {"inr_above_target", "bruising"} <= set(
        visitor.blank(replace(patient, answers=taken))["answers"]
    )
