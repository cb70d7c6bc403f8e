"""The schema accepts what the reader accepts, and both refuse what is planted."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, FormatChecker

from cds.problems import CaseError
from cds.vocabulary.reading import CASE_KEYS, read_case
from cds.vocabulary.schema import case_schema, example
from cds.vocabulary.write import case_json
from tests.vocabulary.cases import any_case
from tests.vocabulary.sample import FULL, LADDER, VOCAB, Names, case, vocabulary
from tests.vocabulary.test_reading import PLACES, PLANTED, planted

SCHEMA = case_schema(VOCAB)
VALIDATOR = Draft202012Validator(SCHEMA, format_checker=FormatChecker())

ONLY_THE_READER = {
    "date-order", "date-after-as-of", "not-oldest-first", "duplicate-level", "does-not-apply",
    "not-whole-step", "bad-interval", "out-of-range",
}  # fmt: skip
"""Codes of problems that a schema cannot always see."""


def accepts(data: object) -> bool:
    """What the schema says of plain JSON (a Decimal is none)."""
    return VALIDATOR.is_valid(json.loads(json.dumps(data, default=float)))


def reads(data: object) -> bool:
    try:
        read_case(VOCAB, data)
    except CaseError:
        return False
    return True


def test_it_is_a_schema_and_is_closed() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert set(SCHEMA["properties"]) == set(CASE_KEYS)

    def walk(node: Any) -> None:
        if isinstance(node, dict):
            if "properties" in node and node.get("type") == "object":
                assert node["additionalProperties"] is False
            for inner in node.values():
                walk(inner)
        elif isinstance(node, list):
            for inner in node:
                walk(inner)

    walk(SCHEMA)
    assert case_schema(VOCAB, "urn:x:case")["$id"] == "urn:x:case"
    json.dumps(SCHEMA)


def test_its_example_is_a_case() -> None:
    assert SCHEMA["examples"] == [example(VOCAB)]
    assert accepts(example(VOCAB))
    read_case(VOCAB, example(VOCAB))


def test_an_edition_without_findings_has_a_schema() -> None:
    bare = case_schema(vocabulary())
    Draft202012Validator.check_schema(bare)
    Draft202012Validator(bare).validate(case())
    assert Names({}, {}, LADDER, {}, {})


@given(any_case(VOCAB))
def test_it_accepts_what_the_reader_accepts(data: dict[str, Any]) -> None:
    assert accepts(data)
    assert accepts(case_json(VOCAB, read_case(VOCAB, data)))


def test_it_accepts_a_full_case() -> None:
    assert accepts(FULL)


@pytest.mark.parametrize("data", [data for code, data, _ in PLANTED if code not in ONLY_THE_READER])
def test_both_refuse_what_is_planted(data: object) -> None:
    assert not reads(data)
    if isinstance(data, dict) and not all(isinstance(key, str) for key in data):
        return  # no JSON
    assert not accepts(data)


@settings(max_examples=300)
@given(
    st.sampled_from(PLACES),
    st.sampled_from(["left", "2026", "yes", "no", 3, 0, -1, 2.5, None, True, [], {}, "", "x\ny"]),
)
def test_wherever_something_is_planted_the_schema_never_refuses_what_is_read(
    place: tuple[Any, ...], value: object
) -> None:
    data = planted(copy.deepcopy(FULL), place, value)
    if reads(data):
        assert accepts(data)
