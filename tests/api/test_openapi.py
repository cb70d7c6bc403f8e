from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from starlette.testclient import TestClient

from cds.api import examples
from cds.api.openapi import document, document_bytes, main
from tests.support.optional import ROOT
from tests.support.shipped import demo

DOCUMENT = json.loads(document_bytes())
PUBLISHED = ROOT / "openapi" / "featheredge.json"


def fits(name: str, value: object) -> None:
    schema = {"components": DOCUMENT["components"], "$ref": f"#/components/schemas/{name}"}
    jsonschema.validate(value, schema, jsonschema.Draft202012Validator)


def test_the_published_file_is_what_the_code_says() -> None:
    assert PUBLISHED.read_bytes() == document_bytes(), "run `make openapi`"


def test_it_is_the_same_from_another_process(tmp_path: Path) -> None:
    file = tmp_path / "x.json"
    subprocess.run([sys.executable, "-m", "cds.api.openapi", str(file)], cwd=ROOT, check=True)
    assert file.read_bytes() == document_bytes()


def test_one_file_must_be_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    assert "usage" in capsys.readouterr().err


def references(node: Any) -> set[str]:
    if isinstance(node, dict):
        own = {node["$ref"]} if isinstance(node.get("$ref"), str) else set()
        return own.union(*map(references, node.values()))
    return set().union(*map(references, node)) if isinstance(node, list) else set()


def test_every_reference_leads_somewhere_and_every_schema_is_used() -> None:
    named = {f"#/components/schemas/{name}" for name in DOCUMENT["components"]["schemas"]}
    assert references(DOCUMENT) == named
    for schema in DOCUMENT["components"]["schemas"].values():
        jsonschema.Draft202012Validator.check_schema(schema)


def test_operations_have_names_of_their_own() -> None:
    names = [op["operationId"] for item in DOCUMENT["paths"].values() for op in item.values()]
    assert len(set(names)) == len(names)


def test_every_typed_object_is_closed() -> None:
    open_ones = {
        name
        for name, schema in document()["components"]["schemas"].items()
        if schema.get("additionalProperties") is not False
    }
    assert open_ones == {"Case"}  # its members belong to the edition


@pytest.mark.parametrize("name", examples.ADVICE)
@pytest.mark.parametrize("detail", ["compact", "full"])
def test_the_examples_for_advice_are_answered(client: TestClient, name: str, detail: str) -> None:
    body = examples.ADVICE[name]["value"]
    fits("AdviceRequest", body)
    answer = client.post(f"/v1/advice?detail={detail}", json=body)
    assert answer.status_code == 200, answer.text
    fits("AdviceEnvelope", answer.json())


@pytest.mark.parametrize("name", examples.CHECK)
def test_the_examples_for_a_check_are_answered(client: TestClient, name: str) -> None:
    body = examples.CHECK[name]["value"]
    fits("CheckRequest", body)
    answer = client.post("/v1/cases/check", json=body)
    assert answer.status_code == 200, answer.text
    fits("CheckResult", answer.json())


@pytest.mark.parametrize("name", ["first_visit", "sixth_visit"])
def test_the_demonstration_fits_too(client: TestClient, name: str) -> None:
    answer = client.post("/v1/advice?detail=full", json=demo(name))
    fits("AdviceEnvelope", answer.json())


def test_the_example_of_a_refusal_is_what_is_answered(client: TestClient) -> None:
    answer = client.post("/v1/advice", json=examples.WRONG)
    assert answer.status_code == 422
    fits("ProblemDetails", answer.json())
    ignored = {"request_id": ""}
    assert {**answer.json(), **ignored} == {**examples.REFUSED, **ignored}


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("/v1/version", "Version"),
        ("/v1/vocabulary", "VocabularyView"),
        ("/v1/rulebook", "RulebookView"),
        ("/v1/rulebook/rules/cauda-equina-suspected", "RuleView"),
        ("/problems/internal", "ProblemTypeView"),
        ("/health/live", "Health"),
        ("/health/ready", "Health"),
    ],
)
def test_reads_fit_their_schemas(client: TestClient, path: str, name: str) -> None:
    fits(name, client.get(path).json())


@pytest.mark.parametrize(
    ("path", "fitting"),
    [("/v1/notes", "Written"), ("/v1/home-sheets", "Written"), ("/v1/letters", "Letters")],
)
@pytest.mark.parametrize("name", examples.PAPER)
def test_the_examples_for_papers_are_answered(
    client: TestClient, path: str, fitting: str, name: str
) -> None:
    body = examples.PAPER[name]["value"]
    fits("PaperRequest", body)
    answer = client.post(path, json=body)
    assert answer.status_code == 200, answer.text
    fits(fitting, answer.json())


@pytest.mark.parametrize("name", examples.CHANGES)
def test_the_examples_for_changes_are_answered(client: TestClient, name: str) -> None:
    body = examples.CHANGES[name]["value"]
    fits("ChangesRequest", body)
    answer = client.post("/v1/advice/changes", json=body)
    assert answer.status_code == 200, answer.text
    fits("Changes", answer.json())
    assert answer.json()["changes"]
