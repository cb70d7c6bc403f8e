"""WHO 2005, guidelines on basic training and safety in chiropractic: the general list, 21 items.

ISBN 92 4 159371 7, seen second hand in a rendering in another language; the words are our own. The
list bars the high-velocity thrust, "absolutely", of the region that an item concerns. What is
barred beside the thrust is this rule book's, from other sources that its rules name. A known and
stable diagnosis refers nobody; what is acute is referred.
"""

from __future__ import annotations

import pytest

from tests.published.listed import (
    ALL,
    BASE,
    GENTLE,
    GENTLE_LOW,
    OPEN,
    UP_TO_THREE,
    Row,
    advice,
    against_its_grade,
    at_level,
    differences,
    effect,
    examined,
    referrals,
    says,
    with_neighbour,
)
from tests.support.fixtures import decider

NOW = {"emergency_department": "emergency"}
ROWS = [
    Row("1", "dens that is missing, loose or malformed", says(neck_condition="dens_or_atlas"),
        "elsewhere", OPEN, "bars the neck; for the low back a caution about the head",
        caution="caution-neck-condition"),
    Row("2", "acute fracture, known", says(vertebral_injury="not_healed"), "absolute", ALL,
        "acute: whoever looks after it is asked", {"spinal_service": "urgent"}),
    Row("2", "acute fracture, suspected after a fall from height", says(new_trauma="major",
        midline_tenderness="no", contusion="no"), "absolute", ALL,
        "not yet imaged", {"imaging": "urgent"}),
    Row("3", "tumour of the cord", says(spinal_growth="cord_or_meninges"), "absolute", ALL,
        "known and watched: hands off, nobody is sent anew"),
    Row("4", "acute infection of vertebra or disc, known", says(spinal_infection="yes"),
        "absolute", ALL, "acute: the treating team hears of it", {"physician": "urgent"}),
    Row("4", "acute infection, suspected", says(unwell_fever="fever", recent_infection="yes"),
        "absolute", ALL, "fever with a way in for germs",
        {"emergency_department": "same_day", "physician": "urgent"}),
    Row("5", "tumour of the meninges", says(spinal_growth="cord_or_meninges"), "absolute", ALL,
        "known and watched"),
    Row("6", "haematoma of cord or canal, now", says(spinal_bleed="current"), "absolute", ALL,
        "can take the legs within hours", NOW),
    Row("6", "haematoma long ago, dealt with", says(spinal_bleed="past"), "absolute", GENTLE,
        "the list gives no time; thrust stays barred, nobody is sent anew"),
    Row("7", "malignancy of the spine", says(cancer_history="active"), "absolute", ALL,
        "back pain beside active cancer is told to the team", {"physician": "urgent"}),
    Row("8", "disc herniation with a deficit that grows", says(leg_symptoms="below_knee",
        leg_side="left", leg_kind="radicular", leg_trend="unchanged",
        straight_leg_raise="positive", leg_weakness="one_leg", power=examined("reduced"),
        power_sides="one", weakness_course="progressive"), "absolute", ALL,
        "a growing deficit is seen the same day", {"spinal_service": "same_day"}),
    Row("9", "skull base pressed into the spine", says(neck_condition="basilar_invagination"),
        "elsewhere", OPEN, "bars the neck; a caution here", caution="caution-neck-condition"),
    Row("10", "brain stem low in the canal (Arnold-Chiari)", says(neck_condition="chiari"),
        "elsewhere", OPEN, "bars the upper neck; a caution here",
        caution="caution-neck-condition"),
    Row("11", "dislocation of a vertebra, known", says(vertebral_injury="dislocation"),
        "absolute", ALL, "known: hands off, nobody is sent anew"),
    Row("11", "dislocation, fresh", says(vertebral_injury="not_healed"), "absolute", ALL,
        "acute", {"spinal_service": "urgent"}),
    Row("12", "benign tumour that is aggressive", says(spinal_growth="aggressive_bone"),
        "absolute", ALL, "known and watched; bone may give way"),
    Row("13", "fixation, at the level itself", at_level("fusion", "yes",
        spinal_surgery="over_six_months"), "absolute", ALL,
        "a fused level has no motion to restore"),
    Row("13", "fixation, at the next level", with_neighbour("fusion", "L4", "yes", "no",
        spinal_surgery="over_six_months"), "absolute", UP_TO_THREE,
        "lists disagree; settled as no thrust at the level and next to it"),
    Row("13", "fixation, level not listed", at_level("fusion", "no",
        spinal_surgery="over_six_months"), "absolute", UP_TO_THREE,
        "what it bars cannot be told, so no thrust anywhere"),
    Row("13", "fixation, far away", with_neighbour("fusion", "L1", "yes", "no",
        spinal_surgery="over_six_months"), "elsewhere", OPEN,
        "settled: levels far from the fusion are for the clinician to judge"),
    Row("14", "tumour of muscle or soft tissue", says(spinal_growth="soft_tissue"), "absolute",
        ALL, "known and watched"),
    Row("15", "positive Kernig", says(meningeal_signs=examined("kernig")), "absolute", ALL,
        "meningitis or bleeding until shown otherwise", NOW),
    Row("15", "positive Lhermitte", says(meningeal_signs=examined("lhermitte")), "absolute", ALL,
        "a sign of the cord", {"spinal_service": "same_day"}),
    Row("16", "loose joints all over, from birth", says(connective_tissue="general_hypermobility"),
        "absolute", UP_TO_THREE,
        "absolute here, relative in the second part; the careful side is taken for a thrust"),
    Row("16", "heritable disorder of connective tissue", says(
        connective_tissue="heritable_disorder"), "absolute", GENTLE,
        "joints and vessels are weak"),
    Row("17", "signs of instability", says(instability_signs="signs"), "absolute", GENTLE,
        "not moved to the end of its range"),
    Row("17", "instability shown by imaging", says(instability_signs="shown_by_imaging"),
        "absolute", ALL, "what is unstable is not moved by hand"),
    Row("18", "cavity of the cord", says(cord_or_head_condition="cord_cavity"), "absolute",
        GENTLE_LOW, "known; straining is avoided"),
    Row("19", "too much fluid in the head, cause unknown", says(
        cord_or_head_condition="fluid_in_head"), "absolute", GENTLE_LOW,
        "known; straining is avoided"),
    Row("20", "split cord", says(cord_or_head_condition="split_cord"), "absolute", GENTLE_LOW,
        "known; straining is avoided"),
    Row("21", "cauda equina syndrome", says(saddle_sensation="altered"), "absolute", ALL,
        "every hour counts", NOW),
]  # fmt: skip
NECK = {"1", "9", "10"}
ACUTE = {"2", "4", "6", "7", "8", "11", "15", "21"}
"""Items that can be acute (of 7, back pain beside an active cancer); all others refer nobody."""
_each = pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)


@_each
def test_an_item_has_its_effect(row: Row) -> None:
    assert differences(row) == []


@_each
def test_the_effect_fits_the_grade(row: Row) -> None:
    assert against_its_grade(row) == []


def test_the_base_alone_bars_nothing_and_refers_nobody() -> None:
    found = advice({})
    assert (effect(found), referrals(found)) == (OPEN, {}), BASE
    assert found["path"]["up_to"]["now"] == "thrust"


def test_all_twenty_one_items_have_a_row() -> None:
    assert {row.item for row in ROWS} == {str(number) for number in range(1, 22)}


def test_neck_items_bar_no_low_back_and_every_other_item_bars_a_thrust_somewhere() -> None:
    by_item = {item: [row for row in ROWS if row.item == item] for item in {r.item for r in ROWS}}
    for item, rows in by_item.items():
        barred = any(row.expect[0] == "barred" for row in rows)
        assert barred is (item not in NECK), item


def test_only_what_can_be_acute_refers() -> None:
    assert {row.item for row in ROWS if row.referrals} == ACUTE


def test_a_known_and_stable_diagnosis_sends_nobody_to_emergency_care() -> None:
    sent = {row.item for row in ROWS if "emergency" in row.referrals.values()}
    assert sent == {"6", "15", "21"}


def test_one_answer_denies_every_known_diagnosis_of_the_list() -> None:
    """Burden: the new ones stand in one block, so that one answer covers them all."""
    block = {"spinal_growth", "spinal_infection", "spinal_bleed", "vertebral_injury",
             "instability_signs", "cord_or_head_condition", "neck_condition"}  # fmt: skip
    assert block <= set(decider().vocabulary.blocks["known_in_spine_or_head"].findings)
