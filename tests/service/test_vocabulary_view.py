from __future__ import annotations

import jsonschema
import orjson
import pytest

from cds.service.vocabulary_view import edition_view, vocabulary_view
from cds.vocabulary.model import Kind
from tests.support.shipped import demo, shipped_service

PROGRAM = shipped_service().program
VIEW = vocabulary_view(PROGRAM)


def test_every_name_of_the_edition_is_there() -> None:
    assert [entry["name"] for entry in VIEW["findings"]] == list(PROGRAM.findings)
    assert [entry["name"] for entry in VIEW["features"]] == list(PROGRAM.features)
    assert [entry["name"] for entry in VIEW["conclusions"]] == list(PROGRAM.conclusions)
    assert [entry["id"] for entry in VIEW["blocks"]] == list(PROGRAM.blocks)
    assert [rung["name"] for rung in VIEW["ladder"]["rungs"]] == list(PROGRAM.ladder.rung_names)
    assert VIEW["edition"] == edition_view(PROGRAM)
    assert VIEW["edition"]["digest"] == PROGRAM.digest


@pytest.mark.parametrize("entry", VIEW["findings"], ids=lambda entry: entry["name"])
def test_a_finding_says_what_may_be_answered(entry: dict[str, object]) -> None:
    finding = PROGRAM.findings[str(entry["name"])]
    assert entry["ask"] == finding.ask
    assert ("values" in entry) != finding.numeric
    assert ("step" in entry) == finding.numeric
    assert ("applies_when" in entry) == (finding.applies_when is not None)
    if finding.kind is Kind.PRESENCE:
        assert entry["values"] == ["no", "yes"]


def test_a_block_never_answers_what_is_asked_alone() -> None:
    alone = {name for name, finding in PROGRAM.findings.items() if finding.ask_alone}
    assert alone
    for block in VIEW["blocks"]:
        assert not alone & set(block["answers"])


def test_periods_are_told_apart() -> None:
    kinds = {key for entry in VIEW["findings"] for key in entry["good_for"]}
    assert {"days", "this_session", "tighter_with"} <= kinds


def test_the_case_schema_is_a_schema_and_takes_the_demonstration() -> None:
    schema = VIEW["case_schema"]
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for name in ("first_visit", "sixth_visit"):
        validator.validate(demo(name)["case"])
    assert not validator.is_valid({"as_of": "2026-11-20"})


def test_it_is_json_without_floats_outside_the_schema() -> None:
    text = orjson.dumps({key: value for key, value in VIEW.items() if key != "case_schema"})
    assert orjson.loads(text)
    assert b"." not in b"".join(part for part in text.split(b'"')[::2])
