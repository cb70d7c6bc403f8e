from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from cds.web.paper import Laid
from cds.web.site import Site
from tests.support.shipped import shipped_service
from tests.web.reading import post
from tests.web.visits import demo_fields, fixture_fields
from tests.whatif.cases import data

REFERRED = ("cauda-equina-both-legs-weak", "infection-fever-with-risk", "clinic-4-pulsatile-mass")


@pytest.mark.parametrize("name", REFERRED)
def test_there_is_a_letter_for_every_referral_that_is_advised(
    client: TestClient, name: str
) -> None:
    page = post(client, "/letter", fixture_fields(name))
    advice = shipped_service().advise({"case": data(name)}, full=True)["advice"]
    advised = [r for r in advice["referrals"] if r["urgency"]["now"] != "none"]
    assert len(advised) > 1
    titles = re.findall(r"Referral to: (.+?)(?= To:)", page.text)
    assert sorted(titles) == sorted(r["title"] for r in advised)
    assert page.text.count("Signature and date:") == len(advised)
    for referral in advised:
        if referral["within"]:
            assert referral["within"] in page.text


def test_every_line_of_every_letter_is_on_the_page(client: TestClient) -> None:
    page = post(client, "/letter", fixture_fields(REFERRED[0]))
    for letter in shipped_service().letters({"case": data(REFERRED[0])})["letters"]:
        for part in letter["paper"]["sections"]:
            assert part["heading"] in page.text
            for line in part["lines"]:
                assert all(bit.strip() in page.text for bit in re.split("_{5,}", line)), line
    assert "____" not in page.text
    assert page.text.count("to be filled in by hand") == 2 * 4


def test_without_a_referral_there_is_no_letter(client: TestClient) -> None:
    page = post(client, "/letter", demo_fields("first_visit"))
    assert "makes no referral" in page.text and "Signature" not in page.text
    assert {"/advice", "/visit", "/home-sheet", "/note", "/close"} <= set(page.buttons)


def test_an_emergency_stands_first(client: TestClient) -> None:
    text = post(client, "/letter", fixture_fields(REFERRED[0])).text
    assert text.index("Emergency department") < text.index("Referral to: Spinal service")
    assert "without waiting for this letter" in text


def test_a_letter_that_waits_for_answers_says_that_it_is_a_draft() -> None:
    letter = {"held": True, "urgency": "urgent", "paper": Laid("Referral to: Physician", ())}
    answer = Site().page(
        "letter.html", shipped_service(), letters=[letter], fields={}, here="visit"
    )
    text = bytes(answer.body).decode()
    assert "A draft: this referral is advised only until open questions are answered." in text
