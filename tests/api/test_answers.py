from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from tests.support.shipped import shipped_service

TAGGED = ["/v1/vocabulary", "/v1/rulebook", "/v1/rulebook/rules/cauda-equina-suspected"]
TAG = f'"{shipped_service().digest}"'


@pytest.mark.parametrize("path", TAGGED)
def test_reads_of_the_edition_carry_its_digest(client: TestClient, path: str) -> None:
    found = client.get(path)
    assert found.status_code == 200
    assert found.headers["etag"] == TAG
    assert found.headers["cache-control"] == "no-cache"


@pytest.mark.parametrize("path", TAGGED)
@pytest.mark.parametrize("sent", [TAG, f"W/{TAG}", "*", f'"x", {TAG}', f'"x",W/{TAG} ,"y"'])
@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_who_has_the_edition_gets_no_body(
    client: TestClient, path: str, sent: str, method: str
) -> None:
    found = client.request(method, path, headers={"if-none-match": sent})
    assert found.status_code == 304
    assert found.headers["etag"] == TAG
    assert found.content == b""
    assert "content-type" not in found.headers


@pytest.mark.parametrize("sent", ['"sha256:0"', TAG.strip('"'), "", f'"{TAG}"', '"*"'])
def test_another_tag_gets_the_whole(client: TestClient, sent: str) -> None:
    found = client.get("/v1/rulebook", headers={"if-none-match": sent})
    assert found.status_code == 200
    assert found.content == shipped_service().rulebook


def test_several_headers_are_one_list(client: TestClient) -> None:
    sent = [("if-none-match", '"x"'), ("if-none-match", TAG)]
    assert client.get("/v1/rulebook", headers=sent).status_code == 304


def test_a_rule_that_is_not_there_is_not_unchanged(client: TestClient) -> None:
    found = client.get("/v1/rulebook/rules/no-such-rule", headers={"if-none-match": "*"})
    assert found.status_code == 404


def test_a_query_that_nobody_reads_is_refused_without_repeating_it(client: TestClient) -> None:
    found = client.get("/v1/rulebook?canary-name=canary-value")
    assert found.status_code == 400
    assert "canary" not in found.text
