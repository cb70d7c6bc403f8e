"""WHO 2005, the second part of its list: by system, with a grade for each row.

All of it from memory (ISBN 92 4 159371 7; the page beyond its opening was not seen). The row alone
must not bar what the source says is not barred, unless this rule book is deliberately more careful:
then the row says why.
"""

from __future__ import annotations

import pytest

from tests.published.listed import (
    ALL,
    GENTLE,
    GENTLE_LOW,
    NO_THRUST,
    OPEN,
    UP_TO_THREE,
    Row,
    advice,
    against_its_grade,
    at_level,
    differences,
    effect,
    examined,
    says,
    with_neighbour,
)
from tests.support.fixtures import decider

NOW = {"emergency_department": "emergency"}
ROOT_PAIN = {"leg_symptoms": "below_knee", "leg_side": "left", "leg_kind": "radicular",
             "leg_trend": "unchanged", "straight_leg_raise": "positive"}  # fmt: skip
OPERATED = {"spinal_surgery": "over_six_months"}
SLIPPED = {"slip_history": "yes"}

ROWS = [
    # Joints.
    Row("articular 1", "inflamed joints, active", says(inflammatory_arthritis="active"), "absolute",
        GENTLE, "no end-range force on an inflamed joint"),
    Row("articular 1", "inflamed joints, active, with laxity or subluxation", says(
        inflammatory_arthritis="active", instability_signs="shown_by_imaging"), "absolute", ALL,
        "what is unstable is not moved by hand"),
    Row("articular 2", "ankylosing spondylitis, subacute or chronic, no laxity, not fused", says(
        inflammatory_arthritis="quiet"), "not_barred", NO_THRUST, "mobilization stays open",
        more_careful="lists disagree on a thrust in stable disease; not used, to be signed"),
    Row("articular 3", "wear of joints, facet arthrosis", says(wear_or_curve="wear"), "not_barred",
        OPEN, "no bar; the patient hears so", education="education-wear"),
    Row("articular 3", "wear of joints, in a flare", says(wear_or_curve="wear",
        irritability="high"), "caution", GENTLE_LOW, "the source says modify in a flare",
        more_careful="irritability limits the force, not the wear"),
    Row("articular 4", "stress injury of the pars", says(pars_injury="yes"), "caution", GENTLE_LOW,
        "asks for care", more_careful="a fracture in the making; no thrust in the low back"),
    Row("articular 4", "slip, stable, at the painful level", at_level("slip", "grade_1", **SLIPPED),
        "caution", UP_TO_THREE, "asks for care",
        more_careful="thrust not used at a slipped level, to be signed"),
    Row("articular 4", "slip, stable, at another level", with_neighbour(
        "slip", "L1", "grade_1", "none", **SLIPPED), "caution", OPEN,
        "a stable slip elsewhere bars nothing at the painful level"),
    Row("articular 4", "slip that progresses, at the level", at_level(
        "slip", "progressive", **SLIPPED), "relative", GENTLE, "not moved to its end of range"),
    Row("articular 4", "slip that progresses, at the next level", with_neighbour(
        "slip", "L4", "progressive", "none", **SLIPPED), "relative", UP_TO_THREE,
        "force at one level reaches the next"),
    Row("articular 5", "fracture or dislocation, fresh", says(vertebral_injury="not_healed"),
        "absolute", ALL, "acute", {"spinal_service": "urgent"}),
    Row("articular 5", "fracture or dislocation, healed with instability", says(
        vertebral_injury="healed_unstable"), "absolute", ALL, "known: nobody is sent anew"),
    Row("articular 5", "fracture, healed and stable", says(vertebral_injury="healed_stable"),
        "not_barred", OPEN, "only what is fresh or unstable is in the list"),
    Row("articular 6", "unstable joint of atlas and axis", says(neck_condition="dens_or_atlas"),
        "elsewhere", OPEN, "bars the neck", caution="caution-neck-condition"),
    Row("articular 7", "loose joints, stability uncertain", says(
        connective_tissue="general_hypermobility"), "relative", UP_TO_THREE,
        "relative here, absolute in the general list; the careful side for a thrust"),
    Row("articular 7", "a loose level", at_level("mobility", "loose"), "relative", GENTLE,
        "a level that moves too much is not moved further"),
    Row("articular 8", "operated, stable, fused level known and far", with_neighbour(
        "fusion", "L1", "yes", "no", **OPERATED), "not_barred", OPEN,
        "a stable operated spine is no bar away from the fusion"),
    Row("articular 8", "operated, stable, nothing known of the level", at_level(
        "fusion", "no", **OPERATED), "not_barred", UP_TO_THREE, "mobilization stays open",
        more_careful="lists disagree, and the trials of thrust left the operated spine out"),
    Row("articular 8", "operated, with signs of instability", with_neighbour(
        "fusion", "L1", "yes", "no", instability_signs="signs", **OPERATED), "relative", GENTLE,
        "may be a relative bar by its signs"),
    Row("articular 9", "fresh injury of joint or soft tissue", says(local_injury="fresh_strain"),
        "not_barred", GENTLE, "usually no bar, modified",
        more_careful="another list bars it outright (of the neck); gentle work stays open"),
    Row("articular 10", "scoliosis", says(wear_or_curve="scoliosis"), "not_barred", OPEN, "no bar",
        education="education-wear"),
    # Bone.
    Row("bone 1", "active bone necrosis in the young", says(juvenile_bone_necrosis="yes"),
        "absolute", GENTLE_LOW, "bars its region; the hip is a lever of side-lying technique"),
    Row("bone 2", "demineralised: osteoporosis", says(bone_disease="osteoporosis"), "relative",
        GENTLE_LOW, "weak bone"),
    Row("bone 2", "demineralised: low bone mass", says(bone_disease="low_mass"), "relative",
        UP_TO_THREE, "less force"),
    Row("bone 3", "benign tumour, harmless", says(spinal_growth="benign_bone"), "relative", GENTLE,
        "relative to absolute"),
    Row("bone 3", "benign tumour, aggressive", says(spinal_growth="aggressive_bone"), "absolute",
        ALL, "relative to absolute; known, nobody is sent anew"),
    Row("bone 4", "malignancy", says(cancer_history="active"), "absolute", ALL,
        "told to the team", {"physician": "urgent"}),
    Row("bone 4", "infection of bone or joint", says(spinal_infection="yes"), "absolute", ALL,
        "acute", {"physician": "urgent"}),
    Row("bone 5", "severe, painful disc herniation", says(pain=8, **ROOT_PAIN), "relative",
        GENTLE_LOW, "non-forceful technique only"),
    Row("bone 5", "infected disc (discitis)", says(spinal_infection="yes"), "relative", ALL,
        "the general list bars it outright", {"physician": "urgent"}),
    # Circulation.
    Row("circulatory 1", "artery of the neck, vertebrobasilar", says(neck_condition="neck_artery"),
        "elsewhere", OPEN, "bars the neck", caution="caution-neck-condition"),
    Row("circulatory 2", "aneurysm of the aorta, small, watched", says(
        known_aneurysm="small_watched"), "relative", GENTLE,
        "known and quiet: no new referral"),
    Row("circulatory 2", "aneurysm of the aorta, large, watched", says(
        known_aneurysm="large_watched"), "absolute", ALL, "rupture is likelier from 5 cm",
        {"vascular_service": "urgent"}),
    Row("circulatory 3", "anticoagulant", says(blood_thinner="anticoagulant", bruising="no"),
        "relative", GENTLE, "no thrust whatever the INR"),
    Row("circulatory 3", "disorder of the blood", says(bleeding_disorder="yes"), "relative", GENTLE,
        "may bleed into the canal"),
    # Nerves.
    Row("neurological 1", "acute myelopathy, one sign", says(
        upper_motor_neuron_signs=examined("yes")), "absolute", ALL, "imaged first",
        {"spinal_service": "same_day"}),
    Row("neurological 1", "acute myelopathy, two signs", says(
        upper_motor_neuron_signs=examined("yes"), gait=examined("unsteady")), "absolute", ALL,
        "the cord", {**NOW, "spinal_service": "same_day"}),
    Row("neurological 2", "raised pressure in the head, signs of it", says(
        meningeal_signs=examined("raised_pressure")), "absolute", ALL, "acute", NOW),
    Row("neurological 2", "raised pressure in the head, known", says(
        cord_or_head_condition="raised_pressure"), "absolute", ALL, "known: nobody is sent anew"),
    Row("neurological 3", "meningitis", says(meningeal_signs=examined("kernig")), "absolute", ALL,
        "acute", NOW),
    Row("neurological 4", "acute cauda equina syndrome", says(bladder_function="retention"),
        "absolute", ALL, "every hour counts", NOW),
    # The person.
    Row("psychological 1", "dependence on treatment", says(expectation="depends_on_treatment"),
        "plan", OPEN, "changes the plan, bars nothing", next_step="share_care",
        education="education-expectation"),
    Row("psychological 3", "expectation that cannot be met", says(expectation="cannot_be_met"),
        "plan", OPEN, "changes the plan, bars nothing", next_step="share_care",
        education="education-expectation"),
]  # fmt: skip
HOW_MANY = {"articular": 10, "bone": 5, "circulatory": 3, "neurological": 4, "psychological": 3}
"""Rows of the source; here one may stand more than once."""
LEFT_OUT = {
    "psychological 2": ("malinger", "a judgement on honesty is not recorded, it decides nothing")
}
_each = pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)


@_each
def test_a_row_has_its_effect(row: Row) -> None:
    assert differences(row) == []


@_each
def test_the_effect_fits_the_grade(row: Row) -> None:
    assert against_its_grade(row) == []


def test_every_row_of_the_source_is_here_or_left_out_with_its_reason() -> None:
    numbered = {f"{system} {n + 1}" for system, rows in HOW_MANY.items() for n in range(rows)}
    assert {row.item for row in ROWS} | set(LEFT_OUT) == numbered
    assert not {row.item for row in ROWS} & set(LEFT_OUT)


@pytest.mark.parametrize(("word", "reason"), LEFT_OUT.values())
def test_what_is_left_out_is_asked_nowhere(word: str, reason: str) -> None:
    findings = decider().vocabulary.findings.values()
    assert reason
    assert not [f.name for f in findings if word in f"{f.ask} {f.title}".lower()]


NOT_BARRED = [row for row in ROWS if row.grade == "not_barred"]


@pytest.mark.parametrize("row", NOT_BARRED, ids=lambda row: row.id)
def test_what_is_no_bar_keeps_hands_on_care_whatever_else_is_more_careful(row: Row) -> None:
    now = effect(advice(row.case))
    assert now[2] == "open"
    assert now[3] == "open"


def test_distress_and_expectation_never_open_a_stronger_technique() -> None:
    """Together with what limits they change no limit, up or down."""
    weak = {"bone_disease": "osteoporosis"}
    for expectation in ("depends_on_treatment", "cannot_be_met"):
        both = says(expectation=expectation, distress_score=5, **weak)
        assert effect(advice(both)) == effect(advice(says(**weak)))
