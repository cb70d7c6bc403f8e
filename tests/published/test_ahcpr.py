"""The table of AHCPR 1994 (guideline 14, read), row by row, by level of concern through the rules.

Not by mere presence: four fifths of people with low back pain have an item of such a list. A weak
item alone is silent, a strong one alone is kept in mind, a second item or the trajectory refers.
The items of Finucane 2020, JOSPT 50:350 (memory) follow, where the book has rules for them.
The level beside each item is what this book's clinical text asks for, not what a source prints.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import combinations
from typing import Any

import pytest

from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.support.expected import differences
from tests.support.fixtures import base, decider, laid_over

SILENT, SOME, URGENT, EMERGENCY = "silent", "some", "urgent", "emergency"
LEVELS = (SILENT, SOME, URGENT, EMERGENCY)

_BY_URGENCY = {
    "none": SILENT, "routine": SOME, "urgent": URGENT, "same_day": URGENT, "emergency": EMERGENCY,
}  # fmt: skip
_BY_CONCERN = {"none": SILENT, "some": SOME, "high": URGENT, "emergency": EMERGENCY}

Change = Mapping[str, Any]


def advised(change: Change) -> Advice:
    """The advice for a whole first visit of a man of 40, everything negative but `change`."""
    deciding = decider()
    answers = {name: value for name, value in change.items() if name not in ("age", "sex")}
    patient = {name: change[name] for name in ("age", "sex") if name in change}
    case: dict[str, Any] = {"answers": {**NEGATIVE, **answers}, "patient": patient}
    if change.get("sex") == "female":
        case["answers"] = {"pregnancy": "no"} | case["answers"]
    if answers.get("new_trauma") in ("minor_fall", "major"):
        case["answers"] = {"contusion": "no"} | case["answers"]
    if "new_trauma" in answers:
        case["answers"] = {"midline_tenderness": "no"} | case["answers"]
    return deciding.decide(read_case(deciding.vocabulary, laid_over(base("first-visit"), case)))


NEGATIVE = {"worse_lying_flat": "no", "diabetes": "no"}


@cache
def _level(change: tuple[tuple[str, Any], ...]) -> str:
    """What rules that fired say, referral and concern together, the worst."""
    advice = advised(dict(change))
    found = [_BY_URGENCY[said["urgency"]["least_careful"]] for said in advice["referrals"]]
    found += [_BY_CONCERN[said["level"]["least_careful"]] for said in advice["concerns"]]
    return max(found, key=LEVELS.index, default=SILENT)


def level(change: Change) -> str:
    return _level(tuple(sorted(change.items())))


OLD_WOMAN = {"age": 62, "sex": "female", "bone_disease": "osteoporosis"}

STEROID: dict[str, Any] = {
    "steroid_use": "systemic", "steroid_dose": 5, "steroid_year_total": 0.4,
}  # fmt: skip

# AHCPR 1994, column fracture (read). The ages behind "older" are common practice.
FRACTURE: list[tuple[str, Change, str]] = [
    ("major trauma", {"new_trauma": "major"}, URGENT),
    ("minor trauma, young, firm bone", {"new_trauma": "minor_fall"}, SOME),
    ("minor trauma, older", {"new_trauma": "minor_fall", "age": 72}, URGENT),
    ("minor trauma, osteoporotic", {"new_trauma": "minor_fall", **OLD_WOMAN}, URGENT),
    ("strenuous lifting, young, firm bone", {"new_trauma": "strenuous_lift"}, SILENT),
    ("strenuous lifting, older", {"new_trauma": "strenuous_lift", "age": 72}, SOME),
    ("strenuous lifting, osteoporotic", {"new_trauma": "strenuous_lift", **OLD_WOMAN}, URGENT),
    ("slight strain, osteoporotic", {"new_trauma": "strain", **OLD_WOMAN}, SOME),
    ("older age", {"age": 72}, SILENT),
    ("osteoporosis", OLD_WOMAN, SILENT),
]

# AHCPR 1994, column tumour or infection (read).
TUMOUR_INFECTION: list[tuple[str, Change, str]] = [
    ("age over 50", {"age": 51}, SILENT),
    ("age under 20", {"age": 19}, SILENT),
    ("history of cancer", {"cancer_history": "past"}, SOME),
    ("fever, chills", {"unwell_fever": "fever"}, URGENT),
    ("night sweats", {"unwell_fever": "night_sweats"}, SOME),
    ("loss of weight", {"weight_loss": "yes"}, SOME),
    ("recent bacterial infection", {"recent_infection": "yes"}, SOME),
    ("drugs by needle", {"injected_drugs": "yes"}, SOME),
    ("immune suppression", {"immune_suppression": "yes"}, SOME),
    ("worse supine", {"worse_lying_flat": "yes"}, SILENT),
    ("severe night pain", {"night_pain": "unrelieved"}, SILENT),
]

# AHCPR 1994, column cauda equina (read).
CAUDA_EQUINA: list[tuple[str, Change, str]] = [
    ("saddle or perianal loss", {"saddle_sensation": "altered"}, EMERGENCY),
    ("retention", {"bladder_function": "retention"}, EMERGENCY),
    ("overflow", {"bladder_function": "new_incontinence"}, EMERGENCY),
    ("severe deficit of a leg", {"power": "severe", "power_sides": "one"}, URGENT),
    ("severe deficit of both legs", {"power": "severe", "power_sides": "both"}, EMERGENCY),
    ("progressive deficit", {"leg_weakness": "one_leg", "weakness_course": "progressive"}, URGENT),
]

# Finucane 2020 (memory): items that have rules of their own here.
FINUCANE: list[tuple[str, Change, str]] = [
    ("earlier fracture from little force", {"fragility_fracture": "yes"}, SOME),
    ("long steroid use", STEROID | {"steroid_days": 90}, SOME),
    ("short steroid use", STEROID | {"steroid_days": 89}, SILENT),
    ("sudden severe pain", {"onset": "sudden", "pain": 8}, SILENT),
    ("bruise after a small fall", {"new_trauma": "minor_fall", "contusion": "yes"}, SOME),
    ("midline tender after a strain", {"new_trauma": "strain", "midline_tenderness": "yes"}, SOME),
    ("midline tender after a fall", {"new_trauma": "minor_fall", "midline_tenderness": "yes"},
     URGENT),
    ("progressive constant pain", {"pain_behaviour": "constant_worsening"}, SILENT),
    ("tuberculosis", {"tuberculosis_risk": "yes"}, SOME),
    ("invasive procedure", {"recent_procedure": "yes"}, SOME),
    ("unwell", {"unwell_fever": "unwell"}, SOME),
    ("severely unwell", {"unwell_fever": "severely_unwell"}, EMERGENCY),
]  # fmt: skip

ROWS = [*FRACTURE, *TUMOUR_INFECTION, *CAUDA_EQUINA, *FINUCANE]


@pytest.mark.parametrize(("change", "wanted"), [r[1:] for r in ROWS], ids=[r[0] for r in ROWS])
def test_an_item_alone(change: Change, wanted: str) -> None:
    assert level(change) == wanted


def test_the_visit_without_any_item_is_silent() -> None:
    assert level({}) == SILENT


PAIRS: list[tuple[Change, Change, str]] = [
    ({"cancer_history": "past"}, {"pain_behaviour": "constant_worsening"}, URGENT),
    ({"cancer_history": "past"}, {"weight_loss": "yes"}, URGENT),
    ({"cancer_history": "past"}, {"unwell_fever": "unwell"}, URGENT),
    ({"weight_loss": "yes"}, {"night_pain": "unrelieved"}, URGENT),
    ({"weight_loss": "yes"}, {"pain_behaviour": "constant_worsening"}, URGENT),
    ({"recent_infection": "yes"}, {"pain_behaviour": "constant_worsening"}, URGENT),
    ({"injected_drugs": "yes"}, {"unwell_fever": "night_sweats"}, URGENT),
    ({"immune_suppression": "yes"}, {"weight_loss": "yes"}, URGENT),
    ({"night_pain": "unrelieved"}, {"pain_behaviour": "constant_worsening"}, SOME),
    ({"worse_lying_flat": "yes"}, {"pain_behaviour": "constant_worsening"}, SOME),
    ({"age": 55}, {"pain_behaviour": "constant_worsening"}, SOME),
    ({"diabetes": "yes"}, {"pain_behaviour": "constant_worsening"}, SOME),
    ({"fragility_fracture": "yes"}, {"onset": "sudden", "pain": 8}, URGENT),
    ({"new_trauma": "strain", "midline_tenderness": "yes"}, {"age": 65}, URGENT),
    ({"new_trauma": "minor_fall", "contusion": "yes"}, {"age": 65}, URGENT),
    ({"new_trauma": "strain"}, {**OLD_WOMAN, "onset": "sudden"}, URGENT),
    ({"new_trauma": "major"}, {"sensation": "one_root"}, EMERGENCY),
]


@pytest.mark.parametrize(("one", "other", "wanted"), PAIRS)
def test_a_second_item_or_the_trajectory_raises_the_level(
    one: Change, other: Change, wanted: str
) -> None:
    assert level({**one, **other}) == wanted
    assert max(map(LEVELS.index, (level(one), level(other)))) < LEVELS.index(wanted)


def test_history_of_cancer_with_night_pain_only_is_a_routine_referral() -> None:
    """For clinical sign-off: one strong item with the weak one that changes nothing by itself."""
    both = advised({"cancer_history": "past", "night_pain": "unrelieved"})
    wanted = {
        "headline": "hands_on",
        "referrals": {"physician": "routine"},
        "concerns": {"malignancy": "some"},
        "limits": {"thrust": "barred", "mobilization": "grade_2"},
    }
    assert differences(decider().program, both, wanted) == []


@pytest.mark.parametrize("fever", ["well", "unwell"])
def test_absence_of_fever_never_quiets_infection(fever: str) -> None:
    """Yusuf 2019: fever in 55 % only (read)."""
    change = {"injected_drugs": "yes", "pain_behaviour": "constant_worsening"}
    assert level({**change, "unwell_fever": fever}) == URGENT


def test_negative_palpation_never_quiets_the_aorta() -> None:
    """Fink 2000 and Lederle 1999: a third or more is not felt (read)."""
    change = {"pain_behaviour": "unaltered_by_movement", "smoking": "yes", "age": 66}
    for sex in ("male", "female"):
        assert level({**change, "sex": sex, "pulsatile_mass": "no"}) == URGENT
        assert level({**change, "sex": sex, "pulsatile_mass": "yes"}) == EMERGENCY


WEAK: list[Change] = [
    {"age": 58},
    {"night_pain": "unrelieved"},
    {"worse_lying_flat": "yes"},
    {"onset": "insidious"},
    {"steroid_use": "inhaled"},
    {"diabetes": "yes"},
]
"""Weak signs: age, night pain, position, slow onset, inhaled steroid, diabetes."""

SETS = [chosen for size in range(len(WEAK) + 1) for chosen in combinations(WEAK, size)]


def test_weak_signs_never_refer_however_many() -> None:
    """All 64 sets: silent without a trajectory; kept in mind with one; never a referral."""
    assert len(SETS) == 64
    for chosen in SETS:
        change = {name: value for sign in chosen for name, value in sign.items()}
        assert level(change) == SILENT, change
        course = {**change, "pain_behaviour": "constant_worsening"}
        assert level(course) in (SILENT, SOME), change
        assert differences(decider().program, advised(course), {"referrals": {}}) == []
