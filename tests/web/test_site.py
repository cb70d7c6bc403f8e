from __future__ import annotations

import re

import pytest
from jinja2 import UndefinedError
from starlette.testclient import TestClient

from cds.web.site import HEADERS, POLICY, Site
from tests.support.shipped import shipped_service

PAGES = ("/", "/visit", "/call", "/rulebook", "/rulebook/rules/cauda-equina-suspected", "/nowhere")


@pytest.mark.parametrize("path", PAGES)
def test_every_page_carries_the_headers(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["x-content-type-options"] == "nosniff"
    for name, value in HEADERS.items():
        assert answer.headers[name] == value


def test_the_policy_lets_nothing_inline_and_nothing_foreign_in() -> None:
    parts = {part.split()[0]: part.split()[1:] for part in POLICY.split("; ")}
    assert parts["default-src"] == ["'none'"] and parts["frame-ancestors"] == ["'none'"]
    assert {source for sources in parts.values() for source in sources} == {
        "'none'",
        "'self'",
        "data:",
    }
    assert parts["img-src"] == ["'self'", "data:"]  # data: for pictures alone


@pytest.mark.parametrize("path", PAGES)
def test_no_page_has_what_the_policy_refuses(client: TestClient, path: str) -> None:
    text = client.get(path).text
    assert not re.search(r"\sstyle=|\son\w+=|<style|javascript:", text)
    assert all(" src=" in tag for tag in re.findall(r"<script[^>]*>", text))
    assert not re.findall(r"(?:src|href|action)=\"(?:https?:)?//", text)


def test_a_page_about_a_patient_is_stored_by_nobody(client: TestClient) -> None:
    assert client.get("/visit").headers["cache-control"] == "no-store"
    assert client.get("/nowhere").headers["cache-control"] == "no-store"
    assert client.get("/").headers["cache-control"] == "no-cache"


def test_assets_are_kept_for_ever_under_an_address_that_names_their_content(
    client: TestClient,
) -> None:
    site = Site()
    assert {asset.name for asset in site.assets.values()} >= {"look.css", "mark.svg", "sheet.js"}
    for address, asset in site.assets.items():
        answer = client.get(asset.address)
        assert answer.content == asset.body and address in asset.address
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
        assert answer.headers["content-type"].startswith(asset.media_type)
        assert answer.headers["content-security-policy"] == POLICY


@pytest.mark.parametrize("name", ["look.css", "none.css", "..%2fsite.py", "look.000000000000.css"])
def test_another_asset_is_not_there(client: TestClient, name: str) -> None:
    assert client.get(f"/assets/{name}").status_code == 404


def test_a_name_that_is_not_given_is_an_error() -> None:
    with pytest.raises(UndefinedError):
        Site().page("problem.html", None, detail="", problems=[], onward=[])


def test_what_is_given_is_escaped() -> None:
    answer = Site().page(
        "problem.html",
        shipped_service(),
        title="<script>alert(1)</script>",
        detail='"><b>',
        problems=[{"text": "<i>a", "where": "/<u>"}],
        onward=[("/", "<em>")],
    )
    text = bytes(answer.body).decode()
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
    for raw in ("<script>alert", "<b>", "<i>", "<u>", "<em>"):
        assert raw not in text


def test_a_kept_page_is_answered_once_and_changes_with_the_day(client: TestClient) -> None:
    first = client.get("/rulebook/policy")
    tag = first.headers["etag"]
    assert re.fullmatch(r'"[0-9a-f]{32}"', tag)
    for sent in (tag, f'"x", W/{tag}', "*"):
        again = client.get("/rulebook/policy", headers={"if-none-match": sent})
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["etag"] == tag
    assert client.get("/rulebook/policy", headers={"if-none-match": '"x"'}).status_code == 200
    assert client.get("/rulebook").headers["etag"] != tag


def test_head_answers_without_a_body(client: TestClient) -> None:
    answer = client.head("/rulebook")
    assert (answer.status_code, answer.content) == (200, b"")
