"""The pieces of the editor's schema refuse what they should."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from cds.rulebook import editor_parts as parts
from cds.rulebook.load import load_book

BOOK = load_book(Path(__file__).parent / "base")


def fits(definition: dict[str, Any], value: Any) -> bool:
    whole = {**definition, "$defs": {"condition": parts.condition(BOOK)}}
    return Draft202012Validator(whole).is_valid(value)


@pytest.mark.parametrize(
    ("value", "good"),
    [
        ({"finding": "fall", "is": "yes"}, True),
        ({"finding": "fall", "known": True}, True),
        ({"finding": "fall", "known": False}, False),
        ({"finding": "unheard_of", "is": "yes"}, False),
        ({"finding": "fall"}, False),
        ({"finding": "flares", "at_least": 1, "at_most": 2}, False),
        ({"feature": "age", "at_least": {"policy": "earliest_thrust_session"}}, True),
        ({"conclusion": "segment.limit.thrust", "at_most": "barred"}, True),
        ({"conclusion": "irritable", "holds": True}, True),
        ({"any": [{"finding": "fall", "is": "yes"}]}, True),
        ({"any": []}, False),
        ({"some": {"at_least": 1, "of": [{"finding": "fall", "is": "yes"}]}}, True),
        ({"some": {"at_least": 0, "of": [{"finding": "fall", "is": "yes"}]}}, False),
    ],
)
def test_condition(value: Any, good: bool) -> None:
    assert fits({"$ref": "#/$defs/condition"}, value) is good


@pytest.mark.parametrize(
    ("value", "good"),
    [
        ({"limit": {"hands_on": "barred"}}, True),
        ({"limit": {"hands_on": "grade_1"}}, False),
        ({"segment.limit": {"mobilization": "grade_2"}}, True),
        ({"segment.care_today": "proceed"}, False),
        ({"indication": {"thrust": True}}, False),
        ({"segment.indication": {"thrust": True}}, True),
        ({"referral": {"to": "general_practice", "urgency": "routine"}}, True),
        ({"referral": {"to": "nowhere", "urgency": "routine"}}, False),
        ({"irritable": True, "stage": "late"}, True),
        ({"segment.cautions": ["mind-the-side"]}, True),
        ({"segment.cautions": "mind-the-side"}, False),
        ({}, False),
    ],
)
def test_writes(value: Any, good: bool) -> None:
    assert fits(parts.writes(BOOK), value) is good


def test_record_refuses_a_key_it_does_not_list() -> None:
    with pytest.raises(AssertionError):
        parts.record(("a",), (), b=parts.TEXT)
