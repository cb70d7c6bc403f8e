from __future__ import annotations

import copy
import html
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.support.shipped import shipped_service
from tests.web.case_fields import demo, fixture, sent
from tests.web.conftest import client_of


def without(case: dict[str, Any], *names: str) -> dict[str, Any]:
    found = copy.deepcopy(case)
    for name in names:
        del found["answers"][name]
    return found


OPEN = without(demo("first_visit"), "saddle_sensation", "bladder_function", "pain")


@pytest.fixture(scope="module")
def wide() -> TestClient:
    found = client_of(shipped_service())
    found.app.state.max_body = 400_000  # type: ignore[attr-defined]
    return found


def page(client: TestClient, case: dict[str, Any], **more: str) -> str:
    answer = client.post("/questions", data=sent(case, **more))
    assert answer.status_code == 200, answer.text[:500]
    assert answer.headers["cache-control"] == "no-store"
    return html.unescape(answer.text)


def test_each_answer_stands_beside_what_it_does(wide: TestClient) -> None:
    text = page(wide, OPEN)
    part = text[text.index("Any change in passing water") :]
    normal, emergency = part.index("<dt>Normal</dt>"), part.index("or retention")
    assert normal < emergency < part.index("Refer to Emergency department, emergency")


def test_the_effect_of_an_answer_is_what_deciding_with_it_says(wide: TestClient) -> None:
    """Independent of the page: the case with the answer, at the JSON door."""
    case = copy.deepcopy(OPEN)
    case["answers"]["bladder_function"] = "retention"
    advice = wide.post("/v1/advice", json={"case": case}).json()["advice"]
    advised = [r["title"] for r in advice["referrals"] if not r["held_only"]]
    assert advised == ["Emergency department"]
    assert "Refer to Emergency department, emergency" in page(wide, OPEN)


def test_the_fewest_answers_that_would_settle_do_settle(wide: TestClient) -> None:
    text = page(wide, OPEN)
    part = text[text.index('id="settle"') : text.index("Question by question")]
    assert part.count("<strong>Normal</strong>") == 2
    assert "never presumed" in part
    case = copy.deepcopy(OPEN)
    case["answers"] |= {"saddle_sensation": "normal", "bladder_function": "normal"}
    advice = wide.post("/v1/advice", json={"case": case}).json()["advice"]
    assert advice["status"] == "settled"
    assert f"Then: {advice['headline']['text']}" in part


def test_a_settled_visit_says_that_nothing_more_is_needed(wide: TestClient) -> None:
    assert "Nothing more has to be answered." in page(wide, demo("first_visit"))


def test_what_no_answer_changes_is_said(wide: TestClient) -> None:
    text = page(wide, fixture("cauda-equina-bladder"))
    part = text[text.index('id="stays"') :]
    assert "Care today stays at least: no hands on" in part
    assert "Refer to emergency department, emergency." in part


def test_more_questions_only_on_demand(wide: TestClient) -> None:
    few = page(wide, OPEN)
    every = page(wide, OPEN, **{"page.all": "yes"})
    assert few.count('<li class="sheet">') == 6 and 'name="page.all"' in few
    assert every.count('<li class="sheet">') > 6 and 'name="page.all"' not in every


def test_a_sheet_that_cannot_be_read_leads_back_to_it(wide: TestClient) -> None:
    answer = wide.post("/questions", data={"as_of": "never"})
    assert answer.status_code == 422
    assert 'formaction="/visit"' in answer.text
