"""Cauda equina: the triggers of the national pathway, one by one, in pairs, unknown, and in time.

Source: GIRFT 2023, national suspected cauda equina syndrome pathway, community step, as read. Each
trigger is laid on a first visit whose every other answer is negative; the urgency beside it is the
pathway's. The muscles of trigger 3 are the union with AHCPR 1994, Guideline 14.
"""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest

from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.support.fixtures import base, decider, laid_over

LEG = {
    "leg_symptoms": "above_knee",
    "leg_side": "right",
    "leg_kind": "referred",
    "leg_trend": "unchanged",
    "straight_leg_raise": "negative",
}
BOTH_WEAK = {
    "leg_weakness": "both_legs",
    "weakness_course": "progressive",
    "power": {"value": "reduced", "how": "examined"},
    "power_sides": {"value": "both", "how": "examined"},
}

# GIRFT 2023: what the pathway names -> what a case records, in each form it may take
TRIGGERS: dict[str, list[dict[str, Any]]] = {
    # 1: difficulty starting micturition or impaired sensation of urinary flow
    "bladder": [{"bladder_function": "hesitancy"}, {"bladder_function": "reduced_flow_sensation"}],
    # 2: altered perianal, perineal or genital sensation, of any size, reported or tested
    "saddle": [
        {"saddle_sensation": {"value": "altered", "how": "asked"}},
        {"saddle_sensation": {"value": "altered", "how": "examined"}},
    ],
    # 3: severe or progressive deficit of both legs, reported or found
    "both legs": [
        BOTH_WEAK,
        {"leg_weakness": "both_legs", "power": {"value": "severe", "how": "examined"}},
        {"power": {"value": "severe", "how": "examined"}, "power_sides": "both"},
        {
            "power": {"value": "reduced", "how": "examined"},
            "power_sides": "both",
            "weakness_course": "progressive",
        },
    ],
    # 4: loss of the sensation of rectal fullness
    "bowel": [{"bowel_function": "lost_fullness"}],
    # 5: sexual dysfunction; with back pain alone unlikely to be cauda equina syndrome
    "sexual": [{"sexual_function": "changed"}],
}
ALONE = {
    "bladder": "emergency",
    "saddle": "emergency",
    "both legs": "emergency",
    "bowel": "emergency",
    "sexual": "none",
}
FORMS = [(name, form) for name, forms in TRIGGERS.items() for form in forms]
PAIRS = list(combinations(TRIGGERS, 2))


def advised(answers: dict[str, Any], visit: str = "first-visit", **more: Any) -> Advice:
    deciding = decider()
    case = laid_over(base(visit), {"answers": answers, **more})
    return deciding.decide(read_case(deciding.vocabulary, case))


def urgency(advice: Advice, key: str = "now") -> str:
    order = ("none", "routine", "urgent", "same_day", "emergency")
    found = [str(entry["urgency"][key]) for entry in advice["referrals"]]  # type: ignore[literal-required]
    return max(found, key=order.index, default="none")


def concern(advice: Advice) -> str:
    levels = {entry["condition"]: entry["level"]["now"] for entry in advice["concerns"]}
    return str(levels.get("cauda_equina", "none"))


def ruled(advice: Advice, status: str) -> set[str]:
    return {step["rule"] for step in advice["chain"]["steps"] if step["status"] == status}


def test_the_visit_without_a_trigger_refers_nobody() -> None:
    advice = advised({})
    assert urgency(advice) == "none"
    assert concern(advice) == "none"


@pytest.mark.parametrize(("name", "form"), FORMS)
def test_each_trigger_alone_has_its_urgency(name: str, form: dict[str, Any]) -> None:
    advice = advised(form)
    assert urgency(advice) == ALONE[name]
    if ALONE[name] == "emergency":
        assert concern(advice) == "emergency"
        assert advice["path"]["up_to"]["now"] == "no_treatment"


def test_sexual_dysfunction_alone_limits_and_with_a_leg_symptom_it_counts() -> None:
    alone = advised({"sexual_function": "changed"})
    assert concern(alone) == "some"
    most = {limit["family"]: limit["most"]["now"] for limit in alone["limits"]}
    assert most["thrust"] == "barred"
    assert urgency(advised({**LEG, "sexual_function": "changed"})) == "emergency"


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_each_pair_is_an_emergency(one: str, other: str) -> None:
    for first in TRIGGERS[one]:
        for second in TRIGGERS[other]:
            advice = advised({**first, **second})
            assert urgency(advice) == "emergency"
            assert concern(advice) == "emergency"


def test_there_are_five_triggers_and_ten_pairs() -> None:
    assert len(TRIGGERS) == 5
    assert len(PAIRS) == 10


@pytest.mark.parametrize("finding", ["saddle_sensation", "bladder_function", "bowel_function"])
def test_a_trigger_not_asked_stays_open_and_holds_every_hand(finding: str) -> None:
    advice = advised({finding: None})
    assert "cauda-equina-suspected" in ruled(advice, "held_open")
    assert advice["status"] == "ask_first"
    assert advice["path"]["up_to"]["now"] == "exercise_only"
    assert finding in {q["finding"] for q in advice["open_questions"] if q["owed"]}
    assert urgency(advice) == "none"
    assert urgency(advice, "most_careful") == "emergency"


def test_weakness_of_both_legs_that_nobody_examined_stays_open() -> None:
    advice = advised({"leg_weakness": "both_legs", "power": None})
    assert "cauda-equina-both-legs-weak" in ruled(advice, "held_open")
    assert "power" in {q["finding"] for q in advice["open_questions"] if q["owed"]}
    examined = {"leg_weakness": "both_legs", "power": {"value": "reduced", "how": "examined"}}
    course = advised({**examined, "power_sides": "both"})
    assert "cauda-equina-both-legs-weak" in ruled(course, "held_open")
    assert "weakness_course" in {q["finding"] for q in course["open_questions"] if q["owed"]}


# AHCPR 1994, Guideline 14: saddle anaesthesia; retention, frequency, overflow; lax sphincter;
# perianal loss; severe or progressive deficit of the legs
@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        ({"bladder_function": "retention"}, "emergency"),
        ({"bladder_function": "new_incontinence"}, "emergency"),
        ({"bladder_function": "frequency"}, "routine"),
        ({**LEG, "bladder_function": "frequency"}, "same_day"),
        ({"bowel_function": "new_incontinence"}, "emergency"),
        ({"anal_tone": {"value": "lax", "how": "examined"}}, "emergency"),
        ({"bowel_function": "constipation"}, "none"),
    ],
)
def test_signs_of_the_older_public_list(answers: dict[str, Any], expected: str) -> None:
    assert urgency(advised(answers)) == expected


# BMJ Best Practice: 200 mL or more after voiding raises the probability, less does not exclude;
# no rectal examination is needed to justify an emergency MRI
@pytest.mark.parametrize(
    ("volume", "expected"), [(199, "none"), (200, "emergency"), (201, "emergency")]
)
def test_volume_left_in_the_bladder(volume: int, expected: str) -> None:
    assert urgency(advised({"post_void_volume": volume})) == expected


def test_a_small_volume_and_a_normal_tone_take_nothing_back() -> None:
    for name, forms in TRIGGERS.items():
        if ALONE[name] == "emergency":
            tested = {"post_void_volume": 0, "anal_tone": {"value": "normal", "how": "examined"}}
            assert urgency(advised({**forms[0], **tested})) == "emergency"


@pytest.mark.parametrize("finding", ["saddle_sensation", "bladder_function", "bowel_function"])
def test_outside_the_window_the_urgency_falls_and_the_rule_stays(finding: str) -> None:
    """GIRFT: new within 14 days or deteriorating. Older and unchanged is never quiet."""
    advice = advised({finding: "older_unchanged"})
    assert urgency(advice) == "same_day"
    assert concern(advice) == "high"
    assert advice["path"]["up_to"]["now"] == "no_treatment"


def test_the_local_pathway_that_disagrees_is_named() -> None:
    """York acts on less than three months and on saddle, urine and faeces only."""
    because = decider().program.rules["cauda-equina-older-unchanged"].because
    assert "York" in because
    assert "three months" in because


def test_earlier_clearance_does_not_suppress_what_is_new() -> None:
    cleared = [{"finding": "saddle_sensation", "on": "2026-11-18", "how": "imaging", "by": "t-09"}]
    told = [{"value": "altered", "observed": "2026-11-17"}, {"value": "altered"}]
    advice = advised({"saddle_sensation": told}, resolved=cleared)
    assert urgency(advice) == "emergency"


def test_symptoms_of_both_legs_are_screened_again_today() -> None:
    """CSP 2024 names new pain in both legs: yesterday's negative answers do not count today."""
    yesterday = {
        name: {"value": "normal", "observed": "2026-11-19"}
        for name in ("saddle_sensation", "bladder_function", "bowel_function")
    }
    both = {**LEG, "leg_side": "both"}
    advice = advised({**both, **yesterday})
    assert "cauda-equina-suspected" in ruled(advice, "held_open")
    assert advice["path"]["up_to"]["now"] == "exercise_only"
    screened = advised(both)
    assert "both-legs-stable" in ruled(screened, "fired")
    assert urgency(screened) == "none"


def test_new_pain_of_both_legs_is_seen_the_same_day() -> None:
    both = {**LEG, "leg_side": "both", "new_leg_symptom": "leg_pain"}
    assert urgency(advised(both)) == "same_day"
