from __future__ import annotations

from typing import Any

import jsonschema
import pytest
from starlette.testclient import TestClient

from cds.api.openapi import document
from cds.api.rethinking import ROUTES
from cds.api.rethinking_contract import CLOSE, QUESTIONS, TABLE, paths, schemas

DOCUMENT = document()


def fits(name: str, value: object) -> None:
    schema = {"components": DOCUMENT["components"], "$ref": f"#/components/schemas/{name}"}
    jsonschema.validate(value, schema, jsonschema.Draft202012Validator)


def test_every_route_is_in_the_contract() -> None:
    assert set(paths()) == set(ROUTES)
    assert set(paths()) <= set(DOCUMENT["paths"])
    assert set(schemas()) <= set(DOCUMENT["components"]["schemas"])


@pytest.mark.parametrize(
    ("route", "request_name", "answer_name", "examples"),
    [
        ("/v1/advice/questions", "QuestionsRequest", "QuestionsAnswer", QUESTIONS),
        ("/v1/advice/session-table", "TableRequest", "TableAnswer", TABLE),
        ("/v1/sessions/close", "CloseRequest", "ClosedAnswer", CLOSE),
    ],
)
def test_the_examples_are_answered(
    client: TestClient, route: str, request_name: str, answer_name: str, examples: dict[str, Any]
) -> None:
    for example in examples.values():
        fits(request_name, example["value"])
        answer = client.post(route, json=example["value"])
        assert answer.status_code == 200, answer.text
        fits(answer_name, answer.json())
