from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from starlette.testclient import TestClient

from cds.web import rulebook_page
from cds.web.rulebook_things import PARTS
from cds.web.site import Site
from tests.support.shipped import shipped_service
from tests.web.books import shelf
from tests.web.conftest import client_of


def links(text: str) -> set[str]:
    return set(re.findall(r'href="(/rulebook[^"#?]*)', text))


def test_every_link_of_the_whole_book_leads_somewhere(client: TestClient) -> None:
    seen: set[str] = set()
    next_ones = {"/rulebook"}
    anchors: dict[str, set[str]] = {}
    wanted: set[tuple[str, str]] = set()
    while next_ones:
        address = next_ones.pop()
        seen.add(address)
        answer = client.get(address)
        assert answer.status_code == 200, address
        anchors[address] = set(re.findall(r'\sid="([^"]*)"', answer.text))
        wanted |= set(re.findall(r'href="(/rulebook[^"#?]*)#([^"]*)"', answer.text))
        next_ones |= links(answer.text) - seen
    assert not {(page, name) for page, name in wanted if name not in anchors[page]}
    program = shipped_service().program
    for kind, ids in (
        ("rules", program.rules),
        ("findings", program.findings),
        ("cards", program.cards),
        ("exercises", program.exercises),
        ("sources", program.sources),
    ):
        assert {f"/rulebook/{kind}/{name}" for name in ids} <= seen
    assert {f"/rulebook/{part}" for part in PARTS} <= seen


@pytest.mark.parametrize(
    ("path", "near"),
    [
        ("/rulebook/rules/bone-density-lo", "/rulebook/rules/bone-density-low"),
        ("/rulebook/findings/bladder", "/rulebook/findings/bladder_function"),
        ("/rulebook/cards/x", "/rulebook"),
        ("/rulebook/polici", "/rulebook/policy"),
        ("/rulebook/nothing/x", "/rulebook"),
    ],
)
def test_what_is_not_there_is_said_with_what_is_near(
    client: TestClient, path: str, near: str
) -> None:
    answer = client.get(path)
    assert answer.status_code == 404 and "Not in this edition" in answer.text
    assert f'href="{near}"' in answer.text


def test_an_overdue_review_is_said() -> None:
    with client_of(shipped_service(), today=datetime(2030, 1, 1, tzinfo=UTC)) as later:
        assert "review overdue" in later.get("/rulebook/rules/bone-density-low").text
        assert f"All {len(shelf().rules)} rules" in later.get("/rulebook?review=overdue").text


def test_where_no_fixtures_are_installed_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rulebook_page, "installed", lambda: None)
    with client_of(shipped_service()) as client:
        text = client.get("/rulebook/rules/bone-density-low").text
    assert "The fixtures are not installed here." in text


def test_another_edition_is_read_anew() -> None:
    pages = rulebook_page.Pages(Site())
    service = shipped_service()
    first = pages.shelf(service)
    assert pages.shelf(service) is first
    other = replace(service, program=replace(service.program, digest="sha256:other"))
    assert pages.shelf(other).program.digest == "sha256:other"
