"""Other published lists of what bars manipulation or mobilization, each row with its effect here.

- Vickers and Zollman 1999, BMJ, ABC of complementary medicine (PMC1116959, table): read.
- US Medicare Benefit Policy Manual, chapter 15, section 240.1.3: marked row by row; the artery near
  the site read, the relative rows second hand, the rest from memory.
- Hawk and others 2020, J Altern Complement Med, table 9, of manipulation or mobilization: read.
- IFOMPT as tabulated 2019, BMC Musculoskelet Disord, 10.1186/s12891-019-2871-y, table 3: read. It
  is a list for the neck; what concerns the neck alone is not carried to the low back.
- Gibbons and Tehan, and Maitland, textbooks: from memory.
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
    level,
    says,
    with_neighbour,
)
from tests.support.fixtures import decider

NOW = {"emergency_department": "emergency"}
SAME_DAY = {"spinal_service": "same_day"}
NECK = "caution-neck-condition"
OPERATED = {"spinal_surgery": "over_six_months"}
SLIPPED = {"slip_history": "yes"}
ROOT_PAIN = {"leg_symptoms": "above_knee", "leg_side": "left", "leg_kind": "radicular",
             "leg_trend": "unchanged", "straight_leg_raise": "positive"}  # fmt: skip
GROWING_LOSS = {**ROOT_PAIN, "leg_weakness": "one_leg", "power": examined("reduced"),
                "power_sides": "one", "weakness_course": "progressive"}  # fmt: skip
STEROID = {"steroid_use": "systemic", "steroid_days": 100, "steroid_dose": 5,
           "steroid_year_total": 0.5}  # fmt: skip
NO_ORGAN = {"constant_pain": "none_of_these"}
CORD = says(upper_motor_neuron_signs=examined("yes"))
NOT_TRAINED = {"clinician": {"training": {"thrust": "no", "mobilization": "no"}}}
NO_PATTERN = {"segments": [{**level("L5", "concordant", "stiff", {}), "prominent": {
    "flexion": "symmetric", "neutral": "symmetric", "extension": "symmetric"},
    "answers": {"provocation": "concordant", "mobility": "stiff", "sagittal_motion": "neither"},
}]}  # fmt: skip

VICKERS = [
    Row("1", "acute inflammatory joint disease", says(inflammatory_arthritis="active"),
        "absolute", GENTLE, "no end-range force on an inflamed joint"),
    Row("2", "acute fracture or dislocation", says(vertebral_injury="not_healed"), "absolute",
        ALL, "acute", {"spinal_service": "urgent"}),
    Row("3", "torn ligament", says(vertebral_injury="ligament_rupture"), "absolute", ALL,
        "known: nobody is sent anew"),
    Row("3", "instability", says(instability_signs="signs"), "absolute", GENTLE,
        "not moved to its end of range"),
    Row("4", "unstable dens", says(neck_condition="dens_or_atlas"), "elsewhere", OPEN,
        "bars the neck", caution=NECK),
    Row("5", "infection", says(spinal_infection="yes"), "absolute", ALL, "acute",
        {"physician": "urgent"}),
    Row("6", "artery of the neck, vertebrobasilar", says(neck_condition="neck_artery"),
        "elsewhere", OPEN, "bars the neck", caution=NECK),
    Row("7", "aneurysm", says(known_aneurysm="small_watched"), "absolute", GENTLE,
        "watched and quiet: no new referral"),
    Row("8", "acute myelopathy", CORD, "absolute", ALL, "imaged first", SAME_DAY),
    Row("9", "acute cauda equina syndrome", says(bowel_function="lost_fullness"), "absolute",
        ALL, "every hour counts", NOW),
    Row("10", "slip that goes on", at_level("slip", "progressive", **SLIPPED), "relative",
        GENTLE, "not moved to its end of range"),
    Row("11", "loose joints", says(connective_tissue="general_hypermobility"), "relative",
        UP_TO_THREE, "the careful side"),
    Row("12", "operated joint with inflammation", at_level("fusion", "no",
        inflammatory_arthritis="active", **OPERATED), "relative", GENTLE, "by its signs"),
    Row("12", "operated joint with instability", at_level("fusion", "no",
        instability_signs="signs", **OPERATED), "relative", GENTLE, "by its signs"),
    Row("13", "demineralised bone", says(bone_disease="osteoporosis"), "relative", GENTLE_LOW,
        "weak bone"),
    Row("14", "benign tumour of bone", says(spinal_growth="benign_bone"), "relative", GENTLE,
        "the careful side"),
    Row("15", "anticoagulant", says(blood_thinner="anticoagulant", bruising="no"), "relative",
        GENTLE, "no thrust whatever the INR"),
    Row("16", "stable slip, elsewhere", with_neighbour("slip", "L1", "grade_1", "none",
        **SLIPPED), "not_barred", OPEN, "no bar"),
    Row("16", "stable slip, at the level", at_level("slip", "grade_1", **SLIPPED), "not_barred",
        UP_TO_THREE, "mobilization stays open",
        more_careful="thrust not used at a slipped level, to be signed"),
    Row("17", "stable operated joint, elsewhere", with_neighbour("fusion", "L1", "yes", "no",
        **OPERATED), "not_barred", OPEN, "no bar"),
    Row("17", "stable operated joint, at the next level", with_neighbour("fusion", "L4", "yes",
        "no", **OPERATED), "not_barred", UP_TO_THREE, "mobilization stays open",
        more_careful="another list bars fixation; no thrust next to it"),
    Row("18", "arthrosis", says(wear_or_curve="wear"), "not_barred", OPEN, "no bar",
        education="education-wear"),
    Row("19", "subacute inflammatory joint disease", says(inflammatory_arthritis="quiet"),
        "not_barred", NO_THRUST, "mobilization stays open",
        more_careful="lists disagree on a thrust in stable disease; not used, to be signed"),
    Row("20", "scoliosis", says(wear_or_curve="scoliosis"), "not_barred", OPEN, "no bar",
        education="education-wear"),
]  # fmt: skip

MEDICARE = [
    Row("1", "malignancy of the spine (memory)", says(cancer_history="active"), "absolute", ALL,
        "told to the team", {"physician": "urgent"}),
    Row("2", "infection of bone or joint of the spine (memory)", says(spinal_infection="yes"),
        "absolute", ALL, "acute", {"physician": "urgent"}),
    Row("3", "myelopathy (memory)", CORD, "absolute", ALL, "imaged first", SAME_DAY),
    Row("3", "cauda equina syndrome (memory)", says(saddle_sensation="altered"), "absolute", ALL,
        "every hour counts", NOW),
    Row("4", "vertebrobasilar, for the neck (memory)", says(neck_condition="neck_artery"),
        "elsewhere", OPEN, "bars the neck", caution=NECK),
    Row("5", "aneurysm of a large artery near the site (read)", says(
        known_aneurysm="small_watched"), "absolute", GENTLE, "no new referral while quiet"),
    Row("6", "acute joint disease with laxity (memory)", says(inflammatory_arthritis="active",
        connective_tissue="general_hypermobility"), "absolute", GENTLE, "no end-range force"),
    Row("7", "fracture or dislocation, acute (memory)", says(vertebral_injury="not_healed"),
        "absolute", ALL, "acute", {"spinal_service": "urgent"}),
    Row("7", "fracture healed but unstable (memory)", says(vertebral_injury="healed_unstable"),
        "absolute", ALL, "known: nobody is sent anew"),
    Row("8", "unstable os odontoideum (memory)", says(neck_condition="dens_or_atlas"),
        "elsewhere", OPEN, "bars the neck", caution=NECK),
    Row("9", "loose joints, uncertain stability (second hand)", says(
        connective_tissue="general_hypermobility"), "relative", UP_TO_THREE, "the careful side"),
    Row("9", "signs of instability (second hand)", says(instability_signs="signs"), "relative",
        GENTLE, "not moved to its end of range"),
    Row("10", "severe demineralisation (second hand)", says(bone_disease="osteoporosis",
        fragility_fracture="yes"), "relative", ("barred", "barred", "limited", "limited"),
        "lowest force only"),
    Row("11", "benign tumour of spinal bone (second hand)", says(spinal_growth="benign_bone"),
        "relative", GENTLE, "the careful side"),
    Row("12", "bleeding disorder (second hand)", says(bleeding_disorder="yes"), "relative",
        GENTLE, "may bleed into the canal"),
    Row("12", "anticoagulant (second hand)", says(blood_thinner="anticoagulant", bruising="no"),
        "relative", GENTLE, "no thrust whatever the INR"),
    Row("13", "radiculopathy with progressive signs (second hand)", says(**GROWING_LOSS),
        "relative", ALL, "a growing deficit is seen the same day", SAME_DAY),
]  # fmt: skip

HAWK = [
    Row("1", "tumour of bone", says(spinal_growth="aggressive_bone"), "absolute", ALL,
        "known and watched"),
    Row("2", "severe osteoporosis", says(bone_disease="osteoporosis", fragility_fracture="yes"),
        "absolute", ("barred", "barred", "limited", "limited"),
        "low velocity case by case: grade I only"),
    Row("3", "structural instability", says(instability_signs="shown_by_imaging"), "absolute",
        ALL, "not moved by hand"),
    Row("4", "osteomyelitis", says(spinal_infection="yes"), "absolute", ALL, "acute",
        {"physician": "urgent"}),
    Row("5", "rheumatoid disease, active", says(inflammatory_arthritis="active"), "absolute",
        GENTLE, "low velocity case by case: grades I to II"),
    Row("6", "deficit that grows", says(**GROWING_LOSS), "absolute", ALL, "seen the same day",
        SAME_DAY),
    Row("6", "sudden severe deficit", says(**{**GROWING_LOSS, "power": examined("severe"),
        "weakness_course": "stable"}), "absolute", ALL, "seen within a day or two",
        {"spinal_service": "urgent"}),
    Row("7", "tumour of the cord that crowds it", says(spinal_growth="cord_or_meninges",
        upper_motor_neuron_signs=examined("yes")), "absolute", ALL, "a sign of the cord",
        SAME_DAY),
    Row("8", "bleeding under an anticoagulant", says(blood_thinner="anticoagulant",
        bruising="yes"), "absolute", ("barred", "barred", "barred", "limited"),
        "back to who prescribes it", {"physician": "routine"}),
    Row("8", "anticoagulant at high dose", says(blood_thinner="anticoagulant", bruising="no"),
        "absolute", GENTLE, "relative in other lists; no thrust at any dose"),
    Row("9", "aneurysm, unstable", says(known_aneurysm="symptomatic"), "absolute", ALL,
        "may be rupturing", {**NOW, "vascular_service": "urgent"}),
    Row("10", "examination inadequate: nerves of the legs", says(power=None, reflexes=None,
        sensation=None), "needs", ALL, "not examined is not normal"),
    Row("10", "examination inadequate: the level itself", {"segments": [level("L5", "concordant",
        "stiff", {}) | {"answers": {"mobility": "stiff"}}]}, "needs", ALL,
        "a level that was not pressed is tested first"),
    Row("11", "training inadequate", NOT_TRAINED, "needs",
        ("barred", "barred", "barred", "open"), "a lack of training bars its family"),
]  # fmt: skip

IFOMPT = [
    Row("a1", "fracture", says(vertebral_injury="not_healed"), "absolute", ALL, "acute",
        {"spinal_service": "urgent"}),
    Row("a2", "relevant recent trauma", says(new_trauma="minor_fall", midline_tenderness="no",
        contusion="no"), "absolute", NO_THRUST, "thrust waits after any fall"),
    Row("a3", "dislocation", says(vertebral_injury="dislocation"), "absolute", ALL, "known"),
    Row("a4", "torn ligament", says(vertebral_injury="ligament_rupture"), "absolute", ALL,
        "known"),
    Row("a5", "instability", says(instability_signs="signs"), "absolute", GENTLE, "not held"),
    Row("a6", "active cancer", says(cancer_history="active"), "absolute", ALL,
        "told to the team", {"physician": "urgent"}),
    Row("a7", "acute myelopathy, cord damage", says(upper_motor_neuron_signs=examined("yes"),
        gait=examined("unsteady")), "absolute", ALL, "the cord", {**NOW, **SAME_DAY}),
    Row("a8", "upper motor neuron lesion", CORD, "absolute", ALL, "imaged first", SAME_DAY),
    Row("a9", "several roots", says(sensation=examined("several_roots")), "absolute",
        ALL, "a wide lesion in the canal until imaged", {"spinal_service": "urgent"}),
    Row("a10", "nerves that get worse", says(**GROWING_LOSS), "absolute", ALL,
        "seen the same day", SAME_DAY),
    Row("a11", "recent surgery", says(spinal_surgery="within_six_months"), "absolute", ALL,
        "by the surgeon's plan"),
    Row("a12", "acute injury of soft tissue", says(local_injury="fresh_strain"), "absolute",
        GENTLE, "gentle work only"),
    Row("a12", "torn muscle", says(local_injury="muscle_tear"), "absolute", ALL,
        "not contracted against a hand"),
    Row("a12", "open wound", says(local_injury="open_wound"), "absolute", ALL, "not touched"),
    Row("a13", "severe pain without let-up, not mechanical", {"answers": {"pain": 8,
        "pain_behaviour": "constant_worsening"}, "blocks": NO_ORGAN}, "absolute",
        GENTLE_LOW, "examined again"),
    Row("a14", "malformed artery of the neck", says(neck_condition="neck_artery"), "elsewhere",
        OPEN, "of the neck", caution=NECK),
    Row("a15", "vertebrobasilar insufficiency", says(neck_condition="neck_artery"), "elsewhere",
        OPEN, "of the neck", caution=NECK),
    Row("a16", "no plausible mechanical explanation", {"answers": {
        "pain_behaviour": "unaltered_by_movement"}, "blocks": NO_ORGAN}, "absolute",
        GENTLE, "a medical review",
        {"physician": "routine"}),
    Row("a17", "just after birth", {"patient": {"sex": "female"}, "answers": {
        "pregnancy": "after_birth"}}, "absolute", UP_TO_THREE, "no thrust"),
    Row("r1", "inflammatory disease", says(inflammatory_arthritis="active"), "relative", GENTLE,
        "no end-range force"),
    Row("r2", "rheumatoid arthritis, quiet", says(inflammatory_arthritis="quiet"), "relative",
        NO_THRUST, "no thrust"),
    Row("r3", "ankylosing spondylitis, quiet", says(inflammatory_arthritis="quiet"), "relative",
        NO_THRUST, "no thrust"),
    Row("r4", "history of cancer", says(cancer_history="past"), "relative", NO_THRUST,
        "one strong sign limits and does not refer"),
    Row("r5", "steroids for long", says(**STEROID), "relative", UP_TO_THREE, "weak bone"),
    Row("r6", "osteoporosis", says(bone_disease="osteoporosis"), "relative", GENTLE_LOW,
        "weak bone"),
    Row("r7", "unwell", says(unwell_fever="unwell"), "relative", NO_THRUST,
        "limits and does not refer"),
    Row("r8", "hypermobility, connective tissue", says(connective_tissue="heritable_disorder"),
        "relative", GENTLE, "joints and vessels are weak"),
    Row("r9", "first sudden episode under 18", {"patient": {"age": 16}, "answers": {
        "onset": "sudden"}}, "relative", NO_THRUST, "no thrust before 18"),
    Row("r10", "first sudden episode over 55", {"patient": {"age": 58}, "answers": {
        "onset": "sudden"}}, "elsewhere", OPEN, "of the neck; not carried to the low back"),
    Row("r11", "malformed neck", says(neck_condition="chiari"), "elsewhere", OPEN,
        "of the neck", caution=NECK),
    Row("r13", "manipulated by another of late", says(new_treatment_elsewhere="yes",
        recent_procedure="no"), "relative", GENTLE, "the response is not ours"),
    Row("r14", "disease of the vessels", says(vascular_disease="yes"), "relative", OPEN,
        "a risk to the arteries of the neck",
        milder="of the neck; for the low back the aorta has rules of its own"),
    Row("r15", "disorder of clotting", says(bleeding_disorder="yes"), "relative", GENTLE,
        "may bleed into the canal"),
    Row("r16", "anticoagulant", says(blood_thinner="anticoagulant", bruising="no"), "relative",
        GENTLE, "no thrust whatever the INR"),
]  # fmt: skip
NOT_CARRIED = {"r12": ("throat", "an infection of the throat concerns the neck")}

GIBBONS_TEHAN = [
    Row("a1", "weak bone", says(bone_disease="other_weakening"), "absolute", GENTLE_LOW,
        "weak bone"),
    Row("a2", "cord or cauda equina", says(saddle_sensation="altered"), "absolute", ALL,
        "every hour counts", NOW),
    Row("a3", "vessels", says(known_aneurysm="large_watched"), "absolute", ALL,
        "rupture is likelier", {"vascular_service": "urgent"}),
    Row("a4", "no diagnosis: a level without a direction", NO_PATTERN, "absolute",
        ("barred", "barred", "open", "barred"), "no direction, no end-range technique"),
    Row("a5", "no consent", {"consents": []}, "needs", ALL, "the one thing that bars by itself"),
    Row("a6", "pain while the position is set", {"moment": "during_session", "today": {"steps": [
        {"rung": "thrust", "level": "L5", "guarding": "none", "pain": 2, "spread": "none",
         "new_sign": "no", "set_up": "pain"}]}}, "absolute", NO_THRUST, "no thrust today"),
    Row("a6", "resistance while the position is set", {"moment": "during_session", "today": {
        "steps": [{"rung": "thrust", "level": "L5", "guarding": "none", "pain": 2,
         "spread": "none", "new_sign": "no", "set_up": "resistance"}]}}, "absolute", NO_THRUST,
        "no thrust today"),
    Row("r1", "earlier adverse response to a thrust", {"course": {"last": {"given": [
        {"level": "L5", "rung": "thrust", "side": "left"}], "adverse": "minor"}}}, "relative",
        GENTLE, "no further thrust in this episode"),
    Row("r2", "disc herniation", says(**ROOT_PAIN), "relative", UP_TO_THREE, "no thrust"),
    Row("r3", "pregnancy", {"patient": {"sex": "female"}, "answers": {
        "pregnancy": "under_20_weeks"}}, "relative", UP_TO_THREE, "no thrust"),
    Row("r4", "spondylosis", says(wear_or_curve="wear"), "relative", OPEN, "wear",
        milder="other lists, one of them read, say that wear is no bar"),
    Row("r4", "slip", at_level("slip", "grade_1", **SLIPPED), "relative", UP_TO_THREE,
        "no thrust at the level"),
    Row("r5", "osteoporosis", says(bone_disease="osteoporosis"), "relative", GENTLE_LOW,
        "weak bone"),
    Row("r6", "anticoagulant", says(blood_thinner="anticoagulant", bruising="no"), "relative",
        GENTLE, "no thrust whatever the INR"),
    Row("r6", "steroid", says(**STEROID), "relative", UP_TO_THREE, "weak bone"),
    Row("r7", "hardened arteries", says(vascular_disease="yes"), "relative", OPEN, "vessels",
        milder="the aorta has rules of its own, by its known width and by the pain"),
    Row("r8", "advanced wear of joints", says(wear_or_curve="wear"), "relative", OPEN, "wear",
        milder="other lists, one of them read, say that wear is no bar"),
    Row("r10", "dependence on treatment", says(expectation="depends_on_treatment"), "plan", OPEN,
        "changes the plan", next_step="share_care"),
    Row("r11", "laxity", at_level("mobility", "loose"), "relative", GENTLE,
        "not moved further"),
]  # fmt: skip

MAITLAND = [
    Row("i1", "all grades: cord or cauda equina", says(bladder_function="hesitancy"), "absolute",
        ALL, "every hour counts", NOW),
    Row("i2", "all grades: malignancy", says(cancer_history="active"), "absolute", ALL,
        "told to the team", {"physician": "urgent"}),
    Row("i3", "all grades: infection", says(spinal_infection="yes"), "absolute", ALL, "acute",
        {"physician": "urgent"}),
    Row("v1", "grade V: hypermobility", at_level("mobility", "loose"), "absolute", GENTLE,
        "not moved further"),
    Row("v2", "grade V: osteoporosis", says(bone_disease="osteoporosis"), "absolute",
        GENTLE_LOW, "weak bone"),
    Row("v3", "grade V: instability", says(instability_signs="signs"), "absolute", GENTLE,
        "not held"),
    Row("v4", "grade V: signs of the nerves", says(sensation=examined("one_root")), "absolute",
        GENTLE, "no thrust, no end-range grades"),
    Row("g1", "irritability low", says(irritability="low"), "not_barred", OPEN,
        "no limit by irritability"),
    Row("g2", "irritability moderate", says(irritability="moderate"), "relative", UP_TO_THREE,
        "grade IV and thrust wait"),
    Row("g3", "irritability high", says(irritability="high"), "relative", GENTLE_LOW,
        "gentle grades, low force"),
]  # fmt: skip

_LISTS = {"vickers": VICKERS, "medicare": MEDICARE, "hawk": HAWK, "ifompt": IFOMPT,
          "gibbons-tehan": GIBBONS_TEHAN, "maitland": MAITLAND}  # fmt: skip
_ROWS = [pytest.param(row, id=f"{name} {row.id}") for name, rows in _LISTS.items() for row in rows]
_each = pytest.mark.parametrize("row", _ROWS)


@_each
def test_a_row_has_its_effect(row: Row) -> None:
    assert differences(row) == []


@_each
def test_the_effect_fits_the_grade(row: Row) -> None:
    assert against_its_grade(row) == []


@pytest.mark.parametrize("row", HAWK, ids=lambda row: row.id)
def test_a_list_of_manipulation_or_mobilization_bars_both(row: Row) -> None:
    """Thrust and grades III to IV; what is of low velocity that list leaves to each case."""
    assert effect(advice(row.case))[:2] == ("barred", "barred")


@pytest.mark.parametrize("row", [r for r in MAITLAND if r.item[0] == "v"], ids=lambda r: r.id)
def test_what_bars_a_thrust_alone_leaves_gentle_grades_open(row: Row) -> None:
    assert effect(advice(row.case))[2] == "open"


def test_every_row_of_the_lists_is_here_or_not_carried_with_its_reason() -> None:
    numbers = {
        "vickers": {str(n) for n in range(1, 21)},
        "medicare": {str(n) for n in range(1, 14)},
        "hawk": {str(n) for n in range(1, 12)},
        "ifompt": {f"a{n}" for n in range(1, 18)} | {f"r{n}" for n in range(1, 17)},
        "gibbons-tehan": {f"a{n}" for n in range(1, 7)} | {f"r{n}" for n in range(1, 12)},
        "maitland": {"i1", "i2", "i3", "v1", "v2", "v3", "v4", "g1", "g2", "g3"},
    }
    not_here = {"ifompt": set(NOT_CARRIED), "gibbons-tehan": set(VERTIGO)}
    for name, wanted in numbers.items():
        here = {row.item for row in _LISTS[name]}
        assert here | not_here.get(name, set()) == wanted, name
        assert not here & not_here.get(name, set()), name


VERTIGO = {"r9": ("vertigo", "dizziness concerns the neck")}


@pytest.mark.parametrize(("word", "why"), [*NOT_CARRIED.values(), *VERTIGO.values()])
def test_what_concerns_the_neck_alone_is_asked_of_nobody(word: str, why: str) -> None:
    assert why
    asked = [f.name for f in decider().vocabulary.findings.values() if word in f.ask.lower()]
    assert asked == []


def test_the_four_items_of_the_neck_are_not_carried_to_the_low_back() -> None:
    carried = {row.item: row.expect for row in IFOMPT if row.grade == "elsewhere"}
    assert set(carried) == {"a14", "a15", "r10", "r11"}
    assert set(carried.values()) == {OPEN}
