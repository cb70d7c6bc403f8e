from __future__ import annotations

import pytest

from cds.problems import Problem
from cds.web.anchors import field_of, field_of_input, field_of_problem
from cds.web.live import decided
from tests.support.shipped import shipped_service
from tests.web.sheets import DAY

PROGRAM = shipped_service().program


@pytest.mark.parametrize(
    ("name", "level", "field"),
    [
        ("saddle_sensation", None, "a.saddle_sensation"),
        ("segment.mobility", "L5", "s.L5.a.mobility"),
        ("segment.mobility", "unnamed", "palpated"),
        ("segment.mobility", None, "palpated"),
    ],
)
def test_a_finding_has_its_field(name: str, level: str | None, field: str) -> None:
    assert field_of(name, level) == field
    assert field_of_input(PROGRAM, name, level) == field


@pytest.mark.parametrize(
    ("name", "level", "field"),
    [
        ("age", None, "age"),
        ("sex", None, "sex"),
        ("session_number", None, "first"),
        ("settled_48h", None, "last.after"),
        ("adverse_last", None, "last.after"),
        ("comparable_last", None, "last.comparable_sign"),
        ("consent_hands_on", None, "consent.hands_on"),
        ("consent_thrust", None, "consent.thrust"),
        ("training_thrust", None, "training.thrust"),
        ("segment.pattern", "L4", "palpated"),
        ("segment.reached_rung", "unnamed", "palpated"),
        ("segment.outside_consent_thrust", "L4", "consent.thrust"),
        ("neuro_exam_today", None, "a.power"),
        ("path.up_to", None, ""),
    ],
)
def test_a_feature_leads_to_what_it_reads(name: str, level: str | None, field: str) -> None:
    assert field_of_input(PROGRAM, name, level) == field


CASE = {
    "segments": [{"level": "L4"}, {"level": "L5"}],
    "consents": [{"family": "thrust"}],
    "resolved": [{"finding": "fall"}, {"finding": "slip", "level": "L5"}],
}


@pytest.mark.parametrize(
    ("pointer", "field"),
    [
        ("/case/answers/pain/0/value", "a.pain"),
        ("/answers/pain", "a.pain"),
        ("/blocks/bone", "b.bone"),
        ("/patient/age", "age"),
        ("/patient/sex", "sex"),
        ("/patient", "age"),
        ("/as_of", "as_of"),
        ("/subject", "subject"),
        ("/record/answers/pain", "record"),
        ("/clinician/training/thrust", "training.thrust"),
        ("/clinician/id", "by"),
        ("/segments/1/prominent/flexion", "s.L5"),
        ("/segments/0/answers/mobility/0/value", "s.L4.a.mobility"),
        ("/segments/7/prominent", "palpated"),
        ("/segments", "palpated"),
        ("/consents/0/family", "consent.thrust"),
        ("/resolved/0/how", "a.fall"),
        ("/resolved/1/how", "s.L5.a.slip"),
        ("/course/0/comparable_sign", "last.comparable_sign"),
        ("/course/0/settled", "last.after"),
        ("/course/0/on", "first"),
        ("/moment", ""),
        ("", ""),
    ],
)
def test_a_problem_leads_to_its_field(pointer: str, field: str) -> None:
    assert field_of_problem(Problem("c", "m", pointer=pointer), CASE) == field


def test_every_open_question_of_an_empty_visit_leads_somewhere() -> None:
    service = shipped_service()
    for fields in ({"as_of": DAY}, {"as_of": DAY, "first": "yes"}):
        advice = decided(service, fields)
        for entry in advice["open_questions"]:
            if entry["owed"]:
                assert field_of_input(PROGRAM, entry["finding"], entry.get("level")), entry
