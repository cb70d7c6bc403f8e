from __future__ import annotations

from starlette.testclient import TestClient

from tests.support.shipped import demo, shipped_service
from tests.web.reading import post
from tests.web.visits import demo_fields, fixture_fields


def test_the_fields_hold_the_note_itself(client: TestClient) -> None:
    page = post(client, "/note", demo_fields("sixth_visit"))
    case = demo("sixth_visit")["case"]
    assert page.area("text") == shipped_service().note({"case": case})["text"]
    markdown = shipped_service().note({"case": case, "format": "markdown"})["text"]
    assert page.area("markdown") == markdown and markdown.startswith("# Chart note")


def test_what_was_not_asked_is_said(client: TestClient) -> None:
    page = post(client, "/note", fixture_fields("screen-saddle-declined"))
    assert "sensation of the saddle" in page.area("text").lower()
    assert "declined" in page.area("text")


def test_hostile_text_stays_text(client: TestClient) -> None:
    fields = {**demo_fields("first_visit"), "by": "</textarea><b>x"}
    raw = client.post("/note", data=fields).text
    assert "</textarea><b>" not in raw
    assert raw.count("<textarea") == raw.count("</textarea>") == 2


def test_the_paper_has_the_same_headings(client: TestClient) -> None:
    page = post(client, "/note", demo_fields("first_visit"))
    for heading in ("Assessment", "Recorded", "Advised", "Reason", "Safety net"):
        assert heading in page.words and f"\n{heading}\n---" in page.area("text")
