from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from cds.web.carry import carried, case_text, case_typed
from tests.support.fixtures import FIXTURES
from tests.support.shipped import demo, shipped_service
from tests.web.conftest import client_of
from tests.web.reading import post
from tests.web.visits import demo_fields, fixture_fields

PAGES = ("/during", "/letter", "/home-sheet", "/note", "/close")
HOSTILE = {"nowhere": '"><script>alert(1)</script>', "episode": "s-<b>&amp;'\"", "seen": "ab12"}


def test_what_is_empty_or_of_a_page_alone_is_not_carried() -> None:
    fields = {"by": "t-1", "sex": "", "page.told": "yes", "a.pain": "0"}
    assert carried(fields) == {"by": "t-1", "a.pain": "0"}


def test_the_text_of_a_case_does_not_depend_on_its_order_and_keeps_fractions() -> None:
    assert case_text({"b": {"d": -2.6, "c": 1}, "a": "é"}) == '{"a":"é","b":{"c":1,"d":-2.6}}'


def test_the_case_is_the_one_that_was_typed() -> None:
    service = shipped_service()
    typed = service.advise({"case": case_typed(service, demo_fields("first_visit"))})
    sent = service.advise(demo("first_visit"))
    assert typed["advice"]["headline"] == sent["advice"]["headline"]
    assert typed["advice"]["path"] == sent["advice"]["path"]


@pytest.mark.parametrize("path", PAGES)
def test_every_hidden_field_arrives_unchanged_and_escaped(client: TestClient, path: str) -> None:
    fields = {**demo_fields("first_visit"), **HOSTILE}
    page = post(client, path, {**fields, "page.own": "gone"})
    for form in page.hidden:
        assert carried(form) == carried(fields)
    assert page.hidden
    raw = client.post(path, data=fields).text
    assert "<script>alert" not in raw and "s-<b>" not in raw
    assert not re.search(r"\sstyle=|\son\w+=|<style|javascript:", raw)
    assert not re.search(r"(?:href|action)=\"[^\"]*[?&]", raw)
    assert {"/advice", "/visit"} <= set(page.buttons)
    # and once more, from page to page
    again = post(client, path, carried(page.hidden[0]))
    assert carried(again.hidden[0]) == carried(fields)


@pytest.mark.parametrize("path", PAGES)
def test_what_is_wrong_is_shown_and_carried_back(client: TestClient, path: str) -> None:
    fields = {**demo_fields("first_visit"), "a.pain": "eleven", "as_of": "2026-13-01"}
    page = post(client, path, fields, status=422)
    assert "Nothing was assessed" in page.text and "a.pain" in page.text
    assert page.hidden[0]["a.pain"] == "eleven" and page.hidden[0]["record"] == fields["record"]
    assert page.buttons[0] == "/visit"


@pytest.mark.parametrize("path", PAGES)
@pytest.mark.parametrize("record", ["{", "[]", '{"as_of": 1}', "\x00"])
def test_a_record_that_is_none_is_refused(client: TestClient, path: str, record: str) -> None:
    page = post(client, path, {"as_of": "2026-11-20", "record": record}, status=422)
    assert "Nothing was assessed" in page.text


@pytest.mark.parametrize("path", PAGES)
def test_an_empty_form_is_no_failure(client: TestClient, path: str) -> None:
    assert "Nothing was assessed" in post(client, path, {"by": ""}, status=422).text
    body = client.post(path, content=b"{}", headers={"content-type": "application/json"})
    assert body.status_code == 415


@pytest.mark.parametrize("path", PAGES)
def test_without_a_rule_book_nothing_is_assessed(path: str) -> None:
    with client_of(None) as client:
        answer = client.post(path, data=demo_fields("first_visit"))
    assert answer.status_code == 503 and "No rule book is loaded" in answer.text


@pytest.mark.parametrize("path", PAGES)
def test_a_page_is_asked_for_with_a_form_alone(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 405


SAMPLE = sorted(path.stem for path in (FIXTURES / "cases").glob("*.yaml"))[::20]


@pytest.mark.parametrize("name", SAMPLE)
def test_no_case_makes_a_page_fail(client: TestClient, name: str) -> None:
    """As recorded, and before anything is palpated."""
    fields = fixture_fields(name)
    sides = {key for key in fields if key == "palpated" or key.startswith("s.")}
    for sent in (fields, {key: fields[key] for key in fields.keys() - sides}):
        for path in (*PAGES, "/advice", "/call", "/visit"):
            assert client.post(path, data=sent).status_code == 200, path
        done = {**sent, "page.closing": "yes", "page.done.nothing": "yes"}
        if fields["moment"] != "contact":
            assert client.post("/close", data=done).status_code == 200
        assert client.post("/call", data={**sent, "page.told": "yes"}).status_code == 200
