from __future__ import annotations

import orjson
import pytest
from starlette.testclient import TestClient

import cds
from cds.api.openapi import CONTRACT_VERSION, document_bytes
from tests.support.shipped import shipped_service

READS = [
    "/v1/version",
    "/v1/vocabulary",
    "/v1/rulebook",
    "/v1/rulebook/rules/cauda-equina-suspected",
    "/problems/internal",
    "/openapi.json",
    "/health/live",
    "/health/ready",
]


def test_the_version_names_product_contract_language_and_edition(client: TestClient) -> None:
    program = shipped_service().program
    assert client.get("/v1/version").json() == {
        "product": "Featheredge",
        "version": cds.__version__,
        "contract": CONTRACT_VERSION,
        "rule_language": 1,
        "edition": {"title": program.title, "language": 1, "digest": program.digest},
    }


@pytest.mark.parametrize("encoding", ["identity", "gzip"])
@pytest.mark.parametrize("path", READS)
def test_a_read_answers_head_with_the_same_headers_and_no_body(
    client: TestClient, path: str, encoding: str
) -> None:
    takes = {"accept-encoding": encoding}
    whole, head = client.get(path, headers=takes), client.head(path, headers=takes)
    assert whole.status_code == head.status_code == 200
    assert head.content == b""
    differ = {"x-request-id"}
    assert {k: v for k, v in head.headers.items() if k not in differ} == {
        k: v for k, v in whole.headers.items() if k not in differ
    }
    if "content-encoding" not in whole.headers:
        assert int(head.headers["content-length"]) == len(whole.content)


def test_every_rule_of_the_list_can_be_read(client: TestClient) -> None:
    rules = client.get("/v1/rulebook").json()["rules"]
    assert len(rules) == len(shipped_service().program.rules)
    for entry in rules[::10]:
        found = client.get(f"/v1/rulebook/rules/{entry['id']}").json()
        assert found["id"] == entry["id"]
        assert found["because"]


def test_the_vocabulary_holds_the_schema_of_a_case(client: TestClient) -> None:
    assert client.get("/v1/vocabulary").json()["case_schema"]["title"] == "Case"


def test_the_contract_is_served_as_published(client: TestClient) -> None:
    assert client.get("/openapi.json").content == document_bytes()
    assert orjson.loads(document_bytes())["openapi"] == "3.1.0"
