from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from cds.api.rethinking import ROUTES
from cds.api.rethinking_contract import CLOSE
from tests.support.shipped import demo


@pytest.mark.parametrize("route", ROUTES)
def test_errors_are_as_everywhere(client: TestClient, route: str) -> None:
    refused = client.post(route, json={"case": {"as_of": "2026-11-31"}})
    assert refused.status_code == 422
    assert refused.headers["content-type"] == "application/problem+json"
    assert "/case/as_of" in {p.get("pointer") for p in refused.json()["problems"]}
    assert client.post(route, content=b"{", headers={"content-type": "application/json"}
                       ).status_code == 400  # fmt: skip
    assert client.post(route, content=b"{}").status_code == 415
    assert client.get(route).status_code == 405
    assert client.post(f"{route}?detail=full", json=demo("first_visit")).status_code == 400


def test_nobody_may_store_the_answers(client: TestClient) -> None:
    case = {"case": demo("first_visit")["case"]}
    for route, body in (
        ("/v1/advice/session-table", case),
        ("/v1/sessions/close", CLOSE["first_visit"]["value"]),
        ("/v1/advice/questions", {**case, "limit": 1}),
    ):
        answer = client.post(route, json=body)
        assert answer.status_code == 200, answer.text
        assert answer.headers["cache-control"] == "no-store"


def test_the_record_of_a_closed_session_is_a_case_to_send(client: TestClient) -> None:
    record = client.post("/v1/sessions/close", json=CLOSE["first_visit"]["value"]).json()["record"]
    record["as_of"] = "2026-11-27"
    answer = client.post("/v1/advice", json={"case": record})
    assert answer.status_code == 200, answer.text
    assert answer.json()["advice"]["status"] == "ask_first"


def test_an_answer_said_to_matter_matters(client: TestClient) -> None:
    """The first answer with an effect, sent as the contract says: the advice is as announced."""
    case = demo("first_visit")["case"]
    case["answers"].pop("saddle_sensation", None)
    body = {"case": case, "finding": "saddle_sensation"}
    (question,) = client.post("/v1/advice/questions", json=body).json()["questions"]
    for found in question["answers"]:
        said = found["says"][0][0]
        told = {**case, "answers": {**case["answers"], said["finding"]: said["value"]}}
        advice = client.post("/v1/advice", json={"case": told}).json()["advice"]
        assert advice["headline"]["text"] == found["then"]["headline"]["text"]
        assert advice["status"] == found["then"]["status"]
