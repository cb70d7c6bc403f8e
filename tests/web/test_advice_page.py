from __future__ import annotations

import copy
import html
import json
import re
from dataclasses import replace
from typing import Any

import pytest
from starlette.testclient import TestClient

from cds.vocabulary.reading import read_case
from cds.web.advice_page import advice_context, collapsed, mark_of, since
from tests.support.shipped import shipped_service
from tests.web.case_fields import demo, fixture, sent
from tests.web.conftest import client_of

FIRST, SIXTH = demo("first_visit"), demo("sixth_visit")
EMERGENCY = fixture("cauda-equina-bladder")
TWO_LEVELS = fixture("clinic-6-slip-and-group")


@pytest.fixture(scope="module")
def wide() -> TestClient:
    """A client whose forms may be as long as those of a real record."""
    found = client_of(shipped_service())
    found.app.state.max_body = 400_000  # type: ignore[attr-defined]
    return found


def page(client: TestClient, fields: dict[str, str]) -> str:
    answer = client.post("/advice", data=fields)
    assert answer.status_code == 200, answer.text[:600]
    assert answer.headers["cache-control"] == "no-store"
    return html.unescape(answer.text)


def advised(case: dict[str, Any]) -> dict[str, Any]:
    service = shipped_service()
    fields = advice_context(service, sent(case))
    found: dict[str, Any] = fields["advice"]
    return found


def test_the_first_screen_has_headline_asked_path_technique_and_stop_signs(
    wide: TestClient,
) -> None:
    advice = advised(SIXTH)
    text = page(wide, sent(SIXTH))
    assert f'<h1 class="headline-text">{advice["headline"]["text"]}</h1>' in text
    assert advice["headline"]["second"] in text
    (segment,) = [one for one in advice["segments"] if one["treat_today"]]
    assert segment["path"]["steps"] and segment["cards"]
    order = [text.index(advice["headline"]["text"])]
    for step in segment["path"]["steps"]:
        order.append(text.index(f'<summary class="rung-name">{step["title"]}</summary>'))
        for gate in step["gate"]:
            assert gate in text
    order.append(text.index("Stop this technique at once"))
    order.append(text.index(segment["cards"][0]["title"], order[-1]))
    order.append(text.index("The ladder today"))
    assert order == sorted(order)
    for card in segment["cards"]:
        for line in (*card["set_up"], *card["stop"], *card["dose"].values()):
            assert line in text


def test_the_same_case_and_the_same_headline_as_at_the_json_door(wide: TestClient) -> None:
    """The page reads what was typed; the JSON door the case. Both give one advice."""
    answer = wide.post("/v1/advice", json={"case": SIXTH})
    given = answer.json()["advice"]
    assert given["headline"]["text"] in page(wide, sent(SIXTH))


def test_an_emergency_says_so_first_and_leads_to_the_letter(wide: TestClient) -> None:
    text = page(wide, sent(EMERGENCY))
    assert 'data-kind="emergency"' in text
    assert '<button class="main" formaction="/letter">' in text
    assert 'formaction="/during"' not in text
    assert "Emergency department" in text
    assert 'href="/rulebook/rules/cauda-equina-' in text


def test_only_what_is_for_today_leads_to_the_session(wide: TestClient) -> None:
    text = page(wide, sent(SIXTH))
    assert 'formaction="/during"' in text
    assert 'formaction="/letter"' not in text


def test_a_headline_seen_with_the_same_reasons_is_shown_small(wide: TestClient) -> None:
    first = page(wide, sent(SIXTH))
    (mark,) = re.findall(r'name="seen" value="(\w+)"', first)
    again = page(wide, sent(SIXTH, seen=mark))
    assert 'class="headline"' in first and 'class="headline"' not in again
    assert "Shown before, for the same reasons" in again
    assert again.count("<h1") == 1
    assert 'class="headline"' in page(wide, sent(TWO_LEVELS, seen=mark))


def test_an_emergency_is_never_shown_small(wide: TestClient) -> None:
    first = page(wide, sent(EMERGENCY))
    (mark,) = re.findall(r'name="seen" value="(\w+)"', first)
    assert 'data-kind="emergency"' in page(wide, sent(EMERGENCY, seen=mark))


def test_the_mark_changes_with_what_the_alert_rests_on() -> None:
    one, other = advised(fixture("cauda-equina-bladder")), advised(fixture("cauda-equina-bowel"))
    assert mark_of(one) != mark_of(advised(SIXTH))  # type: ignore[arg-type]
    assert not collapsed(one, mark_of(one))  # type: ignore[arg-type]
    quiet = advised(SIXTH)
    assert collapsed(quiet, mark_of(quiet))  # type: ignore[arg-type]
    assert not collapsed(quiet, mark_of(other))  # type: ignore[arg-type]


def test_the_mark_changes_with_a_value_behind_the_alert_and_with_the_path() -> None:
    quiet: Any = advised(SIXTH)
    rule = advised(TWO_LEVELS)["chain"]["steps"][0]["rule"]
    weak: Any = copy.deepcopy(quiet)
    step = {"rule": rule, "tests": [{"text": "t", "result": "true", "input": "i", "value": "yes"}]}
    weak["concerns"] = [{"rules": [rule]}]
    weak["chain"]["steps"].append(step)
    weaker = copy.deepcopy(weak)
    weaker["chain"]["steps"][-1]["tests"][0]["value"] = "from_the_start"
    assert mark_of(weak) != mark_of(weaker) != mark_of(quiet)
    other = copy.deepcopy(quiet)
    (treated,) = [one for one in other["segments"] if one["treat_today"]]
    treated["path"]["steps"].pop()
    assert mark_of(other) != mark_of(quiet)


@pytest.mark.parametrize("case", [EMERGENCY, SIXTH])
def test_no_title_says_anything_of_the_patient(wide: TestClient, case: dict[str, Any]) -> None:
    """A browser keeps titles in its history, and names what it prints and files by them."""
    for path in ("/advice", "/call"):
        fields = sent(case, **({"page.told": "yes"} if path == "/call" else {}))
        title, *_ = re.findall(r"<title>(.*?)</title>", wide.post(path, data=fields).text)
        assert title in ("Advice · Featheredge", "The patient rings: what to do · Featheredge")


def test_what_was_typed_goes_along_and_hostile_text_stays_text(wide: TestClient) -> None:
    hostile = "\"><script>alert('x')</script>"
    fields = sent(SIXTH, by=hostile)
    answer = wide.post("/advice", data=fields)
    assert "<script>alert" not in answer.text
    kept = dict(re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', answer.text))
    for name, value in fields.items():
        assert html.unescape(kept[name]) == value


def test_why_not_more_starts_with_the_next_rung_and_says_what_would_have_to_change(
    wide: TestClient,
) -> None:
    advice = advised(FIRST)
    text = page(wide, sent(FIRST))
    part = text[text.index("Why not more") : text.index("How sure is the label")]
    (level,) = [one["level"] for one in advice["segments"] if one["treat_today"]]
    rungs = list(dict.fromkeys(e["rung"] for e in advice["why_not"] if e["level"] == level))
    assert rungs
    titles = {rung.name: rung.title for rung in shipped_service().program.ladder.rungs}
    places = [part.index(f"<summary>{titles[rung]}</summary>") for rung in rungs]
    assert places == sorted(places)
    for entry in advice["why_not"]:
        if entry["level"] == level:
            assert entry["text"] in part
            for rule in entry["rules"]:
                assert f'/rulebook/rules/{rule}"' in part


def test_everything_that_was_answered_and_every_step_is_there(wide: TestClient) -> None:
    advice = advised(TWO_LEVELS)
    text = page(wide, sent(TWO_LEVELS))
    for step in advice["chain"]["steps"]:
        assert f'id="step-{step["number"]}"' in text
        assert step["because"] in text
    everything = text[text.index("Answers that count") :]
    assert everything.count("<tr><th scope") >= len(advice["answers"]["used"])
    for source in advice["sources"]:
        assert f'/rulebook/sources/{source["id"]}"' in text
    assert advice["edition"]["digest"] in text
    assert advice["chain"]["digest"] in text


def test_levels_of_another_day_stand_apart(wide: TestClient) -> None:
    text = page(wide, sent(TWO_LEVELS))
    assert [m for m in ("L2", "L5", "L1") if f'id="level-{m}"' in text] == ["L2", "L5", "L1"]
    assert "L1, not one of today's levels" in text
    assert "L5, not one of today's levels" not in text


def test_what_changed_since_the_last_visit_is_said(wide: TestClient) -> None:
    before = json.dumps({**FIRST, "subject": SIXTH["subject"]})
    text = page(wide, sent(SIXTH, before=before))
    assert '<h2 id="since">Since 20 November 2026</h2>' in text
    service = shipped_service()
    found = since(service, before, advised(SIXTH))  # type: ignore[arg-type]
    assert found is not None and found.sentences
    for sentence in found.sentences:
        assert sentence in text
    assert 'aria-labelledby="since"' not in page(wide, sent(SIXTH))


def test_nothing_is_compared_with_the_visit_of_another_patient(wide: TestClient) -> None:
    assert FIRST["subject"] != SIXTH["subject"]
    text = page(wide, sent(SIXTH, before=json.dumps(FIRST)))
    assert "of another case number; nothing is said about what changed" in text
    assert "Since 20 November 2026" not in text


def test_nothing_is_said_to_have_changed_where_nothing_did() -> None:
    service = shipped_service()
    same = service.decider.decide(read_case(service.decider.vocabulary, SIXTH))
    found = since(service, json.dumps(SIXTH), same)
    assert found is not None and found.sentences == () and not found.unreadable


@pytest.mark.parametrize("text", ["{", "[]", '{"as_of": "never"}', " "])
def test_a_last_case_that_cannot_be_read_is_said_to_be_so(wide: TestClient, text: str) -> None:
    assert "could not be read" in page(wide, sent(SIXTH, before=text))


def test_a_sheet_that_cannot_be_read_is_refused_with_all_its_problems(wide: TestClient) -> None:
    answer = wide.post("/advice", data={"as_of": "yesterday", "a.pain": "many", "a.no_such": "1"})
    assert answer.status_code == 422
    assert answer.headers["content-type"].startswith("text/html")
    assert "as_of" in answer.text or "yesterday" in answer.text


def test_without_a_rule_book_the_page_says_it_is_not_ready() -> None:
    answer = client_of(None).post("/advice", data={"as_of": "2026-11-20"})
    assert answer.status_code == 503


def test_the_clock_of_the_service_does_not_enter_the_page(wide: TestClient) -> None:
    """The same fields give the same page, whenever it is asked for."""
    one = page(wide, sent(SIXTH))
    later = client_of(replace(shipped_service()))
    later.app.state.max_body = 400_000  # type: ignore[attr-defined]
    assert page(later, sent(SIXTH)) == one
