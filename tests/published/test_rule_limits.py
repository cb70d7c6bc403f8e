"""Published and agreed limits of technique: on, just under and just over, through decide.

Each value is laid over an answered visit and decided by the shipped rules; what is read is the
limit that stands and the rules behind it. Source and status stand beside each figure.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.support.fixtures import base, decider, laid_over

FIRST, SIXTH = "first-visit", "sixth-visit"


@cache
def _base(name: str) -> dict[str, Any]:
    return base(name)


def advised(answers: dict[str, Any], visit: str = SIXTH, **patient: Any) -> Advice:
    """The advice for a visit in which only these answers and this person differ."""
    over: dict[str, Any] = {"answers": answers}
    if patient:
        over["patient"] = patient
    deciding = decider()
    return deciding.decide(read_case(deciding.vocabulary, laid_over(_base(visit), over)))


def fired(advice: Advice) -> set[str]:
    return {step["rule"] for step in advice["chain"]["steps"] if step["status"] == "fired"}


def limit(advice: Advice, family: str) -> str:
    """The limit that stands for the case; fully open where nothing is said of the family."""
    full = decider().program.ladder.family(family).limits[-1]
    found = [e for e in advice["limits"] if e["family"] == family and "level" not in e]
    return str(found[0]["most"]["now"]) if found else full


def limits(advice: Advice) -> tuple[str, str, str]:
    return (
        limit(advice, "thrust"), limit(advice, "mobilization"), limit(advice, "muscle_energy")
    )  # fmt: skip


OPEN = ("allowed", "grade_4", "full")


# WHO 1994 (read): -2.5 or less is osteoporosis, above it and below -1.0 is low mass, -1.0 normal.
# -3.5 or less is a very high risk (ACR 2022, read). What each limits is common practice.
@pytest.mark.parametrize(
    ("score", "expected"),
    [
        (-3.6, ("barred", "grade_1", "low_force")),
        (-3.5, ("barred", "grade_1", "low_force")),
        (-3.4, ("barred", "grade_2", "low_force")),
        (-2.6, ("barred", "grade_2", "low_force")),
        (-2.5, ("barred", "grade_2", "low_force")),
        (-2.4, ("barred", "grade_3", "full")),
        (-1.1, ("barred", "grade_3", "full")),
        (-1.0, OPEN),
        (-0.9, OPEN),
    ],
)
def test_bone_density(score: float, expected: tuple[str, str, str]) -> None:
    assert limits(advised({"t_score": score})) == expected


def test_severe_osteoporosis_is_a_density_with_a_fracture() -> None:
    """WHO 1994: severe with a fragility fracture (read)."""
    severe = ("barred", "grade_1", "low_force")
    assert limits(advised({"t_score": -2.5, "fragility_fracture": "yes"})) == severe
    assert limits(advised({"t_score": -2.4, "fragility_fracture": "yes"})) != severe
    assert limits(advised({"t_score": -2.5, "fragility_fracture": "no"})) != severe


@pytest.mark.parametrize("score", [-1.0, 0, 3.0])
@pytest.mark.parametrize(
    "bone", [{"bone_treatment": "current"}, {"bone_treatment": "stopped_denosumab"},
             {"bone_disease": "other_weakening"}],
)  # fmt: skip
def test_treated_or_diseased_bone_is_weak_whatever_its_density(
    bone: dict[str, str], score: float
) -> None:
    """Common practice: treatment of bone, Paget, osteomalacia and the like imply weak bone."""
    found = advised({**bone, "t_score": score})
    assert limits(found) == ("barred", "grade_2", "low_force")
    assert limit(found, "home_flexion") == "barred"


# 2.5 mg a day for 90 days (ACR 2022, memory; Enthoven 2016, read): grade III at most.
# Any systemic dose for 90 days is one strong sign of fracture (Enthoven 2016 names no dose, read):
# no thrust, the more careful side.
# 7.5 mg for 90 days, 30 mg for over 30 days, 5 g in a year: derived, the last two ACR 2022 (read).
@pytest.mark.parametrize(
    ("dose", "days", "year", "mobilization"),
    [
        (2, 90, 0.1, "grade_4"), (2, 91, 0.1, "grade_4"), (2.5, 89, 0.1, "grade_4"),
        (2.5, 90, 0.1, "grade_3"), (3, 90, 0.1, "grade_3"), (7, 90, 0.7, "grade_3"),
        (7.5, 89, 0.7, "grade_4"), (7.5, 90, 0.7, "grade_2"), (8, 90, 0.8, "grade_2"),
        (29.5, 31, 0.9, "grade_4"), (30, 30, 0.9, "grade_4"), (30, 31, 0.9, "grade_2"),
        (30.5, 31, 0.9, "grade_2"), (5, 80, 4.9, "grade_4"), (5, 80, 5, "grade_2"),
        (5, 80, 5.1, "grade_2"),
    ],
)  # fmt: skip
def test_steroid(dose: float, days: int, year: float, mobilization: str) -> None:
    answers = {"steroid_use": "systemic", "steroid_dose": dose, "steroid_days": days}
    found = advised({**answers, "steroid_year_total": year})
    thrust = "allowed" if mobilization == "grade_4" and days < 90 else "barred"
    assert limits(found)[:2] == (thrust, mobilization)


# Beighton: 6 before puberty, 5 from then to 50, 4 above (2017 criteria, read); one point below
# counts with 2 of 5 questions (read). Puberty is taken at 13 (common practice).
@pytest.mark.parametrize(
    ("age", "score", "questions", "loose"),
    [
        (12, 5, 0, False), (12, 6, 0, True), (12, 5, 1, False), (12, 5, 2, True),
        (12, 4, 5, False), (13, 4, 0, False), (13, 5, 0, True), (13, 6, 0, True),
        (50, 4, 0, False), (50, 5, 0, True), (50, 4, 1, False), (50, 4, 2, True),
        (50, 3, 5, False), (51, 3, 0, False), (51, 4, 0, True), (51, 5, 0, True),
        (51, 3, 1, False), (51, 3, 2, True), (51, 2, 5, False),
    ],
)  # fmt: skip
def test_beighton_by_age(age: int, score: int, questions: int, loose: bool) -> None:
    answers = {"beighton": score, "loose_joint_answers": questions}
    found = advised(answers, age=age, sex="male")
    assert ("beighton-high" in fired(found)) is loose
    if age >= 18:
        assert limits(found)[:2] == (("barred", "grade_3") if loose else ("allowed", "grade_4"))


# 180 mm Hg: IFOMPT framework of the neck (memory). 160: common practice, for clinical sign-off.
@pytest.mark.parametrize(
    ("pressure", "care", "energy"),
    [
        (159, "proceed", "full"), (160, "with_precautions", "low_force"),
        (161, "with_precautions", "low_force"), (179, "with_precautions", "low_force"),
        (180, "no_hands_on", "barred"), (181, "no_hands_on", "barred"),
    ],
)  # fmt: skip
def test_systolic_pressure(pressure: int, care: str, energy: str) -> None:
    found = advised({"systolic_pressure": pressure})
    assert (found["care_today"]["now"], limit(found, "muscle_energy")) == (care, energy)


# Under two years nothing, under about twelve no manipulation of the low back (Gross 2024, read);
# the book ends at 13, the more careful side. Thrust from 18 on, not from 75 on: common practice.
@pytest.mark.parametrize(
    ("age", "expected"),
    [
        (1, ("barred",) * 3), (2, ("barred",) * 3), (11, ("barred",) * 3),
        (12, ("barred",) * 3), (13, ("barred", "grade_4", "full")),
        (17, ("barred", "grade_4", "full")), (18, OPEN), (19, OPEN), (74, OPEN),
        (75, ("barred", "grade_3", "full")), (76, ("barred", "grade_3", "full")),
    ],
)  # fmt: skip
def test_age_bands(age: int, expected: tuple[str, str, str]) -> None:
    assert limits(advised({}, age=age, sex="male")) == expected


# Three to six months after surgery of the spine (memory); the longer, 26 weeks, is taken.
@pytest.mark.parametrize(("weeks", "barred"), [(25, True), (26, False), (27, False)])
def test_weeks_since_surgery(weeks: int, barred: bool) -> None:
    answers = {"spinal_surgery": "over_six_months", "weeks_since_spinal_surgery": weeks}
    found = advised(answers)
    assert ("surgery-recent-by-weeks" in fired(found)) is barred
    assert (found["care_today"]["now"] == "no_hands_on") is barred


@pytest.mark.parametrize("above", [None, "no", "yes"])
def test_no_inr_opens_thrust(above: str | None) -> None:
    """No published INR limit for manipulation was found; an anticoagulant bars thrust (derived)."""
    answers: dict[str, Any] = {"blood_thinner": "anticoagulant", "bruising": "no"}
    if above is not None:
        answers["inr_above_target"] = above
    found = advised(answers)
    assert limit(found, "thrust") == "barred"
    assert "anticoagulant" in fired(found)
    assert limits(found)[1] == ("barred" if above == "yes" else "grade_2")


def test_one_platelet_inhibitor_changes_nothing_and_does_not_interrupt() -> None:
    """Common practice: low-dose aspirin alone is no reason to interrupt."""
    with_it = advised({"blood_thinner": "antiplatelet", "bruising": "no"})
    without = advised({})
    for key in ("headline", "status", "care_today", "referrals", "concerns", "path"):
        assert key == "headline" or with_it[key] == without[key]
    assert with_it["headline"]["kind"] == without["headline"]["kind"] == "hands_on"
    assert limits(with_it) == limits(without) == OPEN


# Pregnancy is asked where it may apply (common practice): not of men, not above 60.
@pytest.mark.parametrize(
    ("patient", "asked"),
    [
        ({"sex": "female", "age": 40}, True), ({"sex": "other", "age": 40}, True),
        ({"age": 40}, True), ({"sex": "male", "age": 40}, False),
        ({"sex": "female", "age": 60}, True), ({"sex": "female", "age": 61}, False),
    ],
)  # fmt: skip
def test_pregnancy_is_asked_where_it_may_apply(patient: dict[str, Any], asked: bool) -> None:
    case = laid_over(_base(SIXTH), {"patient": None})
    case["patient"] = patient
    deciding = decider()
    found = deciding.decide(read_case(deciding.vocabulary, case))
    owed = {q["finding"] for q in found["open_questions"] if q["owed"]}
    assert ("pregnancy" in owed) is asked
    assert (limit(found, "thrust") == "barred") is asked


@pytest.mark.parametrize(
    ("pregnancy", "mobilization", "prone"),
    [
        ("no", "grade_4", "allowed"), ("under_20_weeks", "grade_3", "allowed"),
        ("from_20_weeks", "grade_2", "barred"), ("after_birth", "grade_3", "allowed"),
        ("with_warning_signs", "barred", "barred"),
    ],
)  # fmt: skip
def test_pregnancy_by_stage(pregnancy: str, mobilization: str, prone: str) -> None:
    """Thrust in no trimester, positions from 20 weeks: common practice (few harms, Stuber)."""
    found = advised({"pregnancy": pregnancy}, age=30, sex="female")
    thrust = "allowed" if pregnancy == "no" else "barred"
    assert limits(found)[:2] == (thrust, mobilization)
    assert limit(found, "home_prone") == limit(found, "position_prone") == prone


@pytest.mark.parametrize(("days", "counts"), [(27, True), (28, True), (29, False)])
def test_irritability_is_good_for_28_days(days: int, counts: bool) -> None:
    """Common practice: asked every four weeks; pain that rose counts for it in between."""
    day = f"2026-{11 if days < 20 else 10}-{20 + 31 - days if days >= 20 else 20 - days:02d}"
    found = advised({"irritability": {"value": "low", "observed": day}})
    owed = {q["finding"] for q in found["open_questions"] if q["owed"]}
    assert ("irritability" in owed) is not counts
    assert (limits(found) == OPEN) is counts
