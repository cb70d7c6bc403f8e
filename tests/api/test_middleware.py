from __future__ import annotations

import asyncio
import io
import json
import logging
from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest
from starlette.testclient import TestClient

from cds.api.app import create_app
from cds.api.middleware import Outermost
from cds.service.log import new_log
from cds.service.wiring import Service
from tests.api.conftest import Door
from tests.support.shipped import demo, shipped_service

WORD = "canary-word-7351"
NUMBER = 7351735173
ALLOWED = {
    "event",
    "level",
    "timestamp",
    "request_id",
    "edition",
    "method",
    "route",
    "status",
    "ms",
    "error",
    "at",
}


def planted(value: Any, canary: Any) -> Iterator[Any]:
    """The value with each of its leaves, one at a time, exchanged for a canary; keys too."""
    if isinstance(value, dict):
        for key, inner in value.items():
            for changed in planted(inner, canary):
                yield {**value, key: changed}
            if isinstance(canary, str):
                yield {**{k: v for k, v in value.items() if k != key}, canary: inner}
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            for changed in planted(inner, canary):
                yield [*value[:number], changed, *value[number + 1 :]]
    else:
        yield canary


def messages(body: Any) -> str:
    """What an error says, pointers aside: they lead into the sender's own body."""
    assert {"type", "title", "status", "detail", "problems", "request_id"} == set(body)
    return json.dumps(
        [body["detail"], body["title"], [{**item, "pointer": ""} for item in body["problems"]]]
    )


@pytest.mark.parametrize("canary", [WORD, NUMBER], ids=["word", "number"])
def test_no_value_of_a_case_is_logged_or_repeated_in_an_error(
    door: Door, canary: Any, capfd: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> None:
    body = demo("sixth_visit")
    # one of several equal sessions is enough
    body["case"]["course"] = body["case"]["course"][:1]
    refused = 0
    with caplog.at_level(logging.DEBUG):
        for changed in planted(body, canary):
            answer = door.client.post("/v1/cases/check", json=changed)
            if answer.status_code != 200:
                assert answer.status_code == 422
                refused += 1
                assert str(canary) not in messages(answer.json())
    assert refused > 90
    out, err = capfd.readouterr()
    for said in (door.stream.getvalue(), out, err, caplog.text):
        assert str(canary) not in said
    assert all(set(line) <= ALLOWED for line in door.logged)


def test_what_is_accepted_as_free_text_is_not_logged(door: Door) -> None:
    body = demo("first_visit")
    body["case"]["subject"] = body["case"]["episode"] = body["case"]["clinician"]["id"] = WORD
    assert door.client.post("/v1/advice?detail=full", json=body).status_code == 200
    assert WORD not in door.stream.getvalue()


def test_nothing_of_a_url_or_header_is_logged(door: Door) -> None:
    headers = {"x-request-id": WORD, "user-agent": WORD, "referer": WORD, "cookie": WORD}
    for path in (f"/{WORD}", f"/v1/rulebook/rules/{WORD}", f"/v1/version?{WORD}={WORD}"):
        answer = door.client.get(path, headers=headers)
        assert answer.status_code in (400, 404)
        assert WORD not in answer.text
        assert WORD not in str(answer.headers)
    door.client.request(WORD.upper(), "/health/live")
    assert WORD not in door.stream.getvalue().lower()
    assert [line["route"] for line in door.logged[:2]] == ["unmatched", "/v1/rulebook/rules/{id}"]
    assert door.logged[-1]["method"] == "other"


def test_a_line_says_what_was_asked_and_how_it_went(door: Door) -> None:
    answer = door.client.post("/v1/advice", json=demo("first_visit"))
    (line,) = door.logged
    assert line["request_id"] == answer.headers["x-request-id"]
    assert line["edition"] == shipped_service().digest
    assert (line["method"], line["route"], line["status"]) == ("POST", "/v1/advice", 200)
    assert line["ms"] > 0


def test_a_uuid_that_was_sent_is_kept_and_nothing_else(door: Door) -> None:
    sent = "4F0C5A52-6f0e-4b8e-9d3c-0e2a0b6f9a11"
    kept = door.client.get("/health/live", headers={"x-request-id": sent})
    assert kept.headers["x-request-id"] == sent.lower()
    for other in ("", "1", sent + "0", sent + "\t", "a" * 36):
        made = door.client.get("/health/live", headers={"x-request-id": other})
        assert UUID(made.headers["x-request-id"]).version == 4


class Broken(Service):
    """A service with a fault that carries a value of the case in its text."""

    def advise(self, body: object, *, full: bool = False) -> Any:
        value = body
        raise RuntimeError(f"{WORD} {value}")

    def rule(self, rule_id: str) -> bytes | None:
        raise RecursionError(WORD)


def test_a_fault_is_a_problem_without_text_or_trace(
    capfd: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> None:
    stream = io.StringIO()
    shipped = shipped_service()
    app = create_app(Broken(shipped.program, shipped.decider), log=new_log("debug", stream))
    body = demo("first_visit")
    body["case"]["subject"] = WORD
    # a client that raises what the application lets through: nothing may come
    with caplog.at_level(logging.DEBUG), TestClient(app) as client:
        answers = [client.post("/v1/advice", json=body), client.get("/v1/rulebook/rules/x")]
        assert client.get("/health/live").status_code == 200
    for answer in answers:
        assert answer.status_code == 500
        assert answer.headers["content-type"] == "application/problem+json"
        found = answer.json()
        assert found["type"] == "/problems/internal"
        assert "Nothing was assessed" in found["detail"]
        assert found["request_id"] == answer.headers["x-request-id"]
    out, err = capfd.readouterr()
    for said in (*(a.text for a in answers), stream.getvalue(), out, err, caplog.text):
        assert WORD not in said
        assert "Traceback" not in said
    failed = [json.loads(line) for line in stream.getvalue().splitlines() if "failed" in line]
    assert [line["error"] for line in failed] == ["RuntimeError", "RecursionError"]
    assert [line["at"].split(":")[0] for line in failed] == ["test_middleware.py"] * 2
    assert failed[0]["route"] == "/v1/advice"


def call(inner: Any, **scope: Any) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Messages sent and lines logged for one request to a bare application."""
    stream, sent = io.StringIO(), []

    async def send(message: Any) -> None:
        sent.append(message)

    async def receive() -> dict[str, Any]:
        return {"type": "http.disconnect"}

    outer = Outermost(inner, new_log(stream=stream))
    asyncio.run(outer({"type": "http", "method": "GET", "headers": [], **scope}, receive, send))
    return sent, [json.loads(line) for line in stream.getvalue().splitlines()]


def test_a_fault_after_the_answer_began_is_logged_and_not_raised() -> None:
    async def app(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        raise ValueError(WORD)

    sent, lines = call(app)
    assert [message["type"] for message in sent] == ["http.response.start"]
    assert lines[0]["error"] == "ValueError"


def test_a_client_that_left_is_no_fault() -> None:
    app = create_app(shipped_service())
    headers = [(b"content-type", b"application/json")]
    sent, lines = call(
        app.build_middleware_stack(), method="POST", path="/v1/advice", headers=headers,
        query_string=b"", app=app, http_version="1.1", scheme="http", server=("x", 1), client=None,
        root_path="", raw_path=b"/v1/advice",
    )  # fmt: skip
    assert "failed" not in [line["event"] for line in lines]
    assert not [message for message in sent if message.get("status") == 200]
