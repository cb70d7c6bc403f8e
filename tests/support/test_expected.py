"""Each kind of expectation fails on an advice that does not meet it; none is ignored."""

from __future__ import annotations

import pytest

from cds.vocabulary.reading import read_case
from tests.support.expected import CHECKS, FORBIDDEN, differences, essence, floats
from tests.support.fixtures import base, decider

WRONG = {
    "headline": "emergency",
    "status": "stopped",
    "care_today": "no_hands_on",
    "referrals": {"physician": "urgent"},
    "concerns": {"aorta": "some"},
    "start_at": "thrust",
    "up_to": "thrust",
    "up_to_at": {"L5": "thrust"},
    "steps_at": {"L5": []},
    "step_down_to": [],
    "treated": [],
    "order": ["L4"],
    "pattern": {"L5": "group"},
    "sides": {"L5": {"flexed": "right"}},
    "limits": {"thrust": "allowed"},
    "not_limited": ["mobilization"],
    "contraindications": {"thrust": ["anticoagulant"]},
    "policy_holds": {"thrust": []},
    "other_holds": {"thrust": []},
    "fired": ["anticoagulant"],
    "held": ["anticoagulant"],
    "open": ["anticoagulant"],
    "quiet": ["consent-thrust"],
    "next_step": "discharge",
    "cards": ["flexed-thrust"],
    "exercises": [],
    "no_exercises": ["walking"],
    "retest_include": ["retest-neurological"],
    "cautions_include": ["caution-bone"],
    "safety_net_include": ["safety-net-after-thrust"],
    "education_include": ["education-irritable"],
    "open_questions": [],
    "open_questions_include": ["saddle_sensation"],
    "stale": ["saddle_sensation"],
    "bilateral": {"L5": "flexed"},
    "confidence": {"L5": "very_low"},
    "alternatives": ["flexed-thrust"],
    "consent_points_include": ["consent-thrust-harm"],
    "information": ["information-flynn"],
}


@pytest.mark.parametrize("key", CHECKS)
def test_a_wrong_expectation_is_told(key: str) -> None:
    deciding = decider()
    advice = deciding.decide(read_case(deciding.vocabulary, base("first-visit")))
    assert differences(deciding.program, advice, {key: WRONG[key]})


def test_an_unknown_expectation_and_an_unknown_rule_are_told() -> None:
    deciding = decider()
    advice = deciding.decide(read_case(deciding.vocabulary, base("first-visit")))
    assert differences(deciding.program, advice, {"no_such_key": 1})
    assert differences(deciding.program, advice, {"quiet": ["no-such-rule"]})
    assert differences(deciding.program, advice, {"not_limited": ["no_such_family"]})
    assert differences(deciding.program, advice, {"no_exercises": ["no-such-exercise"]})


def test_forbidden_words_are_found_as_words() -> None:
    assert FORBIDDEN.search("It is safe to go on")
    assert FORBIDDEN.search("Red flags negative")
    assert not FORBIDDEN.search("Safety net and local codes")


def test_floats_are_found_anywhere() -> None:
    assert floats({"a": [1, {"b": 0.5}]})
    assert not floats({"a": [1, {"b": "0.5"}]})


def test_the_essence_of_a_sided_advice_changes_with_its_sides() -> None:
    deciding = decider()
    advice = deciding.decide(read_case(deciding.vocabulary, base("first-visit")))
    changed = {
        key for key, value in essence(advice).items() if value != essence(advice, swapped=True)[key]
    }
    assert {"segments", "home", "steps"} <= changed
    assert not {"headline", "limits", "path"} & changed
