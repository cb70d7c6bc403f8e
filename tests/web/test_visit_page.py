from __future__ import annotations

import json
import re
from html.parser import HTMLParser

from starlette.testclient import TestClient

from cds.web.live import live
from tests.support.shipped import shipped_service
from tests.web.conftest import client_of
from tests.web.sheets import DAY, LATER, first_visit, record_after

SERVICE = shipped_service()


class Fields(HTMLParser):
    """The fields of the page, what is chosen in them, and the ids."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.names: set[str] = set()
        self.chosen: dict[str, str] = {}
        self.ids: list[str] = []
        self.links: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if found.get("id"):
            self.ids.append(str(found["id"]))
        if tag == "a":
            self.links.append(found.get("href") or "")
        name = found.get("name")
        if tag in ("input", "textarea") and name:
            self.names.add(name)
            if found.get("type") in ("radio", "checkbox"):
                if "checked" in found:
                    self.chosen[name] = found.get("value") or ""
            elif found.get("value"):
                self.chosen[name] = found.get("value") or ""


def page(client: TestClient, **fields: str) -> str:
    answer = client.post("/visit", data=fields)
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"
    return answer.text


def test_an_empty_sheet_has_nothing_chosen_but_the_day(client: TestClient) -> None:
    answer = client.get("/visit")
    assert answer.status_code == 200 and answer.headers["cache-control"] == "no-store"
    found = Fields(answer.text)
    assert found.chosen == {"as_of": DAY, "moment": "before_session"}
    assert len(found.ids) == len(set(found.ids))
    assert 'data-given=""' in answer.text


def test_every_finding_and_every_field_of_the_form_is_there(client: TestClient) -> None:
    found = Fields(client.get("/visit").text).names
    program = SERVICE.program
    assert {f"b.{block}" for block in program.blocks} <= found
    for name in program.findings:
        bare = name.removeprefix("segment.")
        assert (f"s.T10.a.{bare}" if name != bare else f"a.{name}") in found
    assert {f"s.S1.{p}" for p in ("flexion", "neutral", "extension")} <= found
    assert {"consent.hands_on", "consent.thrust", "palpated", "first", "record"} <= found


def test_what_was_typed_is_there_again_and_nothing_else(client: TestClient) -> None:
    fields = first_visit()
    text = page(client, **fields)
    assert Fields(text).chosen == {**fields, "moment": "before_session"}
    assert not re.search(r'data-given=""', text)
    assert text == page(client, **fields)
    # which advice was seen last goes along, so that the same is shown small
    assert Fields(page(client, **fields, seen="0123456789abcdef")).chosen["seen"]


def test_a_call_that_becomes_a_visit_is_none_any_more(client: TestClient) -> None:
    """Seen as a call, a visit would owe the seven questions of a call and no others."""
    text = page(client, **first_visit(moment="contact", palpated=""))
    assert Fields(text).chosen["moment"] == "before_session"
    assert "Not settled" in text and "at this contact" not in text
    assert Fields(page(client, moment="during_session")).chosen["moment"] == "during_session"


def test_the_order_is_history_screening_examination_levels_consent(client: TestClient) -> None:
    text = client.get("/visit").text
    places = [
        text.index(f'id="part-{part}"')
        for part in ("course", "history", "screening_alone", "screening_blocks", "examination",
                     "levels", "consent")
    ]  # fmt: skip
    assert places == sorted(places)


def test_unchanged_is_offered_and_never_chosen(client: TestClient) -> None:
    text = page(client, as_of=LATER, by="th-1", record=record_after(first_visit()))
    assert "unchanged since 20 November 2026: none" in text
    assert "~unchanged" not in Fields(text).chosen.values()
    assert "~unchanged" not in client.get("/visit").text


def test_sessions_come_from_the_record_and_two_things_are_asked_of_the_last(
    client: TestClient,
) -> None:
    text = page(client, as_of=LATER, record=record_after(first_visit()))
    assert "<strong>1 session</strong>, the last on 20 November 2026" in text
    assert "pain after it 3, guarding none" in text
    assert "From the record: age 34, female." in text
    named = page(client, as_of=LATER, record=record_after(first_visit(subject="s-0001")))
    assert "From the record: case s-0001, age 34, female." in named
    found = Fields(text).names
    assert {"last.after", "last.comparable_sign"} <= found and "first" not in found
    assert "last.after" not in Fields(client.get("/visit").text).names


def test_a_positive_that_stands_is_resolved_with_one_tap(client: TestClient) -> None:
    before = record_after(first_visit(**{"a.new_trauma": "minor_fall"}))
    text = page(client, as_of=LATER, by="th-1", record=before)
    assert "minor fall of 20 November 2026 stands until it is marked as resolved" in text
    assert re.search(r'name="r\.new_trauma" value="asked"', text)
    kept = {"as_of": LATER, "by": "th-1", "record": before}
    assert live(SERVICE, kept)["states"]["a.new_trauma"]["state"] == "adverse"
    ended = live(SERVICE, {**kept, "r.new_trauma": "asked"})["states"]["a.new_trauma"]
    assert ended["state"] in ("owed", "stale")


def test_every_problem_stands_at_its_field_and_in_the_list(client: TestClient) -> None:
    text = page(client, **{"age": "x", "a.pain": "44", "b.bone": "maybe", "record": "{"})
    assert "1 thing is not readable yet" in text and 'href="#q-record"' in text
    text = page(client, **{"age": "x", "a.pain": "44", "b.bone": "maybe"})
    assert "3 things are not readable yet" in text
    for field in ("age", "a-pain", "b-bone"):
        assert re.search(rf'id="problem-{field}">[^<]+</p>', text), field
        assert f'href="#q-{field}"' in text and f'id="q-{field}"' in text
    assert "Age of the patient must be a number" in text and "`" not in text
    assert 'value="x"' in text and 'aria-invalid="true"' in text


def test_a_link_of_the_sheet_leads_to_an_id_of_the_sheet(client: TestClient) -> None:
    for fields in (
        {"by": "th-1"},
        {"age": "34", "first": "yes"},
        {"record": record_after(first_visit())},
    ):
        found = Fields(page(client, **fields))
        inner = [link[1:] for link in found.links if link.startswith("#")]
        assert len(inner) > 3
        assert set(inner) <= set(found.ids)


def test_the_draft_answers_with_html_states_and_problems(client: TestClient) -> None:
    answer = client.post("/visit/live", data=first_visit())
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["content-type"] == "application/json"
    body = answer.json()
    assert body["headline"].startswith("Hands-on today") and body["wrong"] == {}
    assert "Draft, not recorded" in body["html"]
    assert body["states"]["a.pain"] == {"state": "answered", "text": "5, today"}
    bad = client.post("/visit/live", data={"as_of": DAY, "age": "x"}).json()
    assert list(bad["wrong"]) == ["age"] and bad["headline"] == ""
    assert "Nothing was assessed" in bad["html"]


def test_what_is_typed_is_written_as_text(client: TestClient) -> None:
    evil = '"><script>alert(1)</script>'
    text = page(client, by=evil, record=evil, **{"a.pain": evil})
    assert "<script>alert" not in text
    assert "<script>alert" not in json.dumps(client.post("/visit/live", data={"by": evil}).json())


def test_without_a_rule_book_there_is_no_sheet() -> None:
    with client_of(None) as nobody:
        assert nobody.get("/visit").status_code == 503
        assert nobody.post("/visit", data={}).status_code == 503
        assert nobody.post("/visit/live", data={}).status_code == 503


def test_a_long_page_is_compressed_for_those_who_take_it_so(client: TestClient) -> None:
    packed = client.get("/visit", headers={"accept-encoding": "gzip"})
    plain = client.get("/visit", headers={"accept-encoding": "identity"})
    assert packed.headers["content-encoding"] == "gzip"
    assert "accept-encoding" in packed.headers["vary"].lower()
    assert "content-encoding" not in plain.headers
    assert packed.text == plain.text
    assert 5 * int(packed.headers["content-length"]) < len(plain.content)
