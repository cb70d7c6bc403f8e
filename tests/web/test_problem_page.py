from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from cds.web.site import Site
from tests.support.shipped import shipped_service
from tests.web.conftest import PERSON, client_of


def test_a_person_is_answered_with_a_page_and_a_program_with_json(client: TestClient) -> None:
    page = client.get("/nowhere")
    assert page.status_code == 404 and "There is no such page" in page.text
    assert page.headers["vary"] == "accept"
    assert page.headers["x-request-id"] in page.text
    data = client.get("/nowhere", headers={"accept": "*/*"})
    assert data.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("path", ["/v1/nowhere", "/v1/rulebook/rules/none", "/problems/none"])
def test_routes_for_programs_answer_json_to_everybody(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert answer.headers["content-type"] == "application/problem+json"


def test_where_something_is_wrong_is_said(client: TestClient) -> None:
    body = {"case": {"as_of": "2026-11-20", "moment": "before_session", "answers": {"age": 4}}}
    assert client.post("/v1/advice", json=body).headers["content-type"].endswith("problem+json")
    text = client.get("/rulebook?topic=none&x=1").text
    assert "has no such choice in this edition" in text and "no such filter" in text


def test_a_failure_is_a_page_that_repeats_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    shown = Site.page

    def failing(site: Site, template: str, *args: Any, **given: Any) -> Any:
        if template == "sheet.html":
            raise RuntimeError("a value of the case")
        return shown(site, template, *args, **given)

    monkeypatch.setattr(Site, "page", failing)
    with client_of(shipped_service()) as client:
        answer = client.get("/visit")
    assert answer.status_code == 500
    assert "The service failed" in answer.text and "a value of the case" not in answer.text


def test_when_the_page_of_a_failure_fails_too_json_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(*args: Any, **given: Any) -> Any:
        raise RuntimeError("a value of the case")

    monkeypatch.setattr(Site, "page", failing)
    with client_of(shipped_service()) as client:
        answer = client.get("/visit")
    assert answer.status_code == 500
    assert answer.headers["content-type"] == "application/problem+json"
    assert "a value of the case" not in answer.text


@pytest.mark.parametrize("path", ["/visit", "/rulebook", "/rulebook/policy", "/rulebook/rules/x"])
def test_without_a_book_a_page_says_so(path: str) -> None:
    with client_of(None) as client:
        answer = client.get(path, headers=PERSON)
    assert answer.status_code == 503 and "No rule book is loaded" in answer.text
