"""Invented visits as the fields of the case sheet, for the tests of the pages."""

from __future__ import annotations

import json
from typing import Any

from cds.decide import Decider
from cds.vocabulary.case import Given
from cds.vocabulary.reading import read_case
from cds.web.form import case_of
from cds.whatif.closing import Closing, record
from tests.support.shipped import shipped_service

DAY = "2026-11-20"
LATER = "2026-11-27"
ALONE = {
    "a.leg_symptoms": "none",
    "a.pain_behaviour": "mechanical",
    "a.night_pain": "none",
    "a.onset": "sudden",
    "a.duration_days": "5",
    "a.irritability": "low",
    "a.saddle_sensation": "normal",
    "a.bladder_function": "normal",
    "a.bowel_function": "normal",
    "a.leg_weakness": "none",
    "a.cancer_history": "never",
    "a.blood_thinner": "none",
    "a.pain": "5",
    "a.guarding": "mild",
}
BLOCKS = (
    "since_last", "bone", "infection_risk", "vessels_and_abdomen", "known_in_spine_or_head",
    "spine_and_hip", "neurological_examination",
)  # fmt: skip
LEVEL = {
    "s.L4.flexion": "left",
    "s.L4.neutral": "symmetric",
    "s.L4.extension": "symmetric",
    "s.L4.a.provocation": "concordant",
    "s.L4.a.mobility": "stiff",
    "palpated": "yes",
}


def first_visit(**more: str) -> dict[str, str]:
    """A first visit of a woman of 34 with nothing but back pain; `more` lies over it."""
    return {
        "as_of": DAY,
        "age": "34",
        "sex": "female",
        "by": "th-1",
        "first": "yes",
        **ALONE,
        **{f"b.{block}": "none_of_these" for block in BLOCKS},
        **LEVEL,
        "consent.hands_on": "given",
        "consent.points": "all",
        **more,
    }


def record_after(fields: dict[str, str], *, guarding: str = "none", pain: int = 3) -> str:
    """The record that this visit leaves, as the text of its JSON."""
    decider: Decider = shipped_service().decider
    case: dict[str, Any] = case_of(decider.program, decider.vocabulary, fields)
    done = Closing((Given(level="L4", rung="muscle_energy"),), guarding, pain)
    return json.dumps(record(decider, read_case(decider.vocabulary, case), done))
