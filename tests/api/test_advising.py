from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest
from starlette.testclient import TestClient

from tests.support.shipped import demo, shipped_service

CASE = {"as_of": "2026-11-20", "moment": "before_session"}
ROUTES = ["/v1/advice", "/v1/cases/check", "/v1/notes", "/v1/letters", "/v1/home-sheets"]


def resolves(body: Any, pointer: str) -> bool:
    """Whether an RFC 6901 pointer leads to a value of the body."""
    if not pointer:
        return True
    for part in pointer.removeprefix("/").split("/"):
        part = part.replace("~1", "/").replace("~0", "~")
        if isinstance(body, dict) and part in body:
            body = body[part]
        elif isinstance(body, list) and part.isdecimal() and int(part) < len(body):
            body = body[int(part)]
        else:
            return False
    return True


def test_advice_stands_in_an_envelope_that_nobody_may_store(client: TestClient) -> None:
    answer = client.post("/v1/advice", json=demo("first_visit"))
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    assert answer.headers["cache-control"] == "no-store"
    found = answer.json()
    UUID(found["id"])
    assert found["kind"] == "given"
    assert found["advice"]["detail"] == "compact"
    assert found["advice"]["edition"]["digest"] == shipped_service().digest


def test_full_detail_is_asked_for(client: TestClient) -> None:
    assert (
        client.post("/v1/advice?detail=full", json=demo("first_visit")).json()["advice"]["detail"]
        == "full"
    )
    for query in ("detail=compact", ""):
        answer = client.post(f"/v1/advice?{query}", json=demo("first_visit"))
        assert answer.json()["advice"]["detail"] == "compact"


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("detail=most", "wrong-value"),
        ("detail=", "wrong-value"),
        ("detail=full&detail=full", "repeated-parameter"),
        ("details=full", "unknown-parameter"),
        ("patient=x", "unknown-parameter"),
    ],
)
def test_a_wrong_query_is_refused(client: TestClient, query: str, code: str) -> None:
    answer = client.post(f"/v1/advice?{query}", json=demo("first_visit"))
    assert answer.status_code == 400
    assert answer.json()["type"] == "/problems/bad-request"
    assert [item["code"] for item in answer.json()["problems"]] == [code]


def test_the_same_case_gets_the_same_advice(client: TestClient) -> None:
    first, second = (client.post("/v1/advice", json=demo("sixth_visit")).json() for _ in "ab")
    assert first["id"] != second["id"]
    assert first["advice"] == second["advice"]


def test_a_check_counts_and_decides_nothing(client: TestClient) -> None:
    answer = client.post("/v1/cases/check", json=demo("sixth_visit"))
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"
    assert answer.json()["ok"] is True
    assert "advice" not in answer.json()


WRONG: list[dict[str, Any]] = [
    {},
    {"case": 1},
    {"case": {}},
    {"case": CASE, "more": 1},
    {"case": {**CASE, "answers": {"saddle_sensaton": "normal", "pain": 11}}},
    {"case": {**CASE, "answers": {"pain": {"value": 4, "missing": "declined"}}}},
    {"case": {**CASE, "answers": {"pain": [{"value": 4}, {"value": 99}]}}},
    {"case": {**CASE, "answers": {"a/b~c": 1, "": 2, "provocation": "none"}}},
    {"case": {**CASE, "segments": [{"level": "L9"}, {"level": "L5"}, {"level": "L5"}]}},
    {"case": {**CASE, "segments": [{"level": "L5", "answers": {"provocation": "yes"}}]}},
    {"case": {**CASE, "segments": {}}},
    {"case": {**CASE, "course": [{"on": "2026-11-30"}, {"on": "2026-11-01", "pain_after": 11}]}},
    {"case": {**CASE, "today": {"steps": [{"rung": "thrust"}]}}},
    {"case": {**CASE, "patient": {"age": -1, "born": "1990"}}},
    {"case": {**CASE, "consents": [{"family": "x"}], "referrals": [{"to": "x"}]}},
    {"case": {**CASE, "resolved": [{"finding": "pain", "on": "x"}], "clinician": {"x": 1}}},
    {"case": {**CASE, "blocks": {"bone": "yes", "none": "none_of_these"}}},
    {"case": {"as_of": "20261120", "moment": 5}},
]


@pytest.mark.parametrize("route", ROUTES)
@pytest.mark.parametrize("body", WRONG, ids=range(len(WRONG)))
def test_every_problem_has_a_pointer_that_leads_into_the_body(
    client: TestClient, route: str, body: dict[str, Any]
) -> None:
    answer = client.post(route, json=body)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    found = answer.json()
    assert found["type"] == "/problems/case-refused"
    assert "Nothing was assessed." in found["detail"]
    assert found["problems"]
    for item in found["problems"]:
        assert resolves(body, item["pointer"]), item["pointer"]


def test_pointers_are_told_apart_from_wrong_ones() -> None:
    assert resolves({"a/b": [{"~": 1}]}, "/a~1b/0/~0")
    assert not resolves({"a": [1]}, "/a/1")
    assert not resolves({"a": 1}, "/b")


def test_all_problems_come_at_once(client: TestClient) -> None:
    body = {"case": {**CASE, "answers": {"pain": 11, "guarding": "much", "x": 1}}, "drft": True}
    found = client.post("/v1/advice", json=body).json()
    assert len(found["problems"]) == 4


def test_what_is_integral_may_be_written_with_a_point(client: TestClient) -> None:
    text = b'{"case": {"as_of": "2026-11-20", "moment": "contact", "answers": {"pain": 4.0}}}'
    headers = {"content-type": "application/json"}
    assert client.post("/v1/advice", content=text, headers=headers).status_code == 200


@pytest.mark.parametrize("path", ["/v1/notes", "/v1/home-sheets"])
def test_a_paper_is_given_as_data_and_as_text(client: TestClient, path: str) -> None:
    body = {"case": demo("sixth_visit")["case"]}
    answer = client.post(path, json=body)
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"
    found = answer.json()
    UUID(found["id"])
    assert found["format"] == "text" and found["edition"]["digest"] == shipped_service().digest
    assert found["paper"]["title"] in found["text"]
    marked = client.post(path, json={**body, "format": "markdown"}).json()
    assert marked["text"].startswith("# ") and marked["paper"] == found["paper"]


def test_letters_of_a_case_that_is_referred(client: TestClient) -> None:
    case = {**CASE, "answers": {"saddle_sensation": "altered"}}
    found = client.post("/v1/letters", json={"case": case}).json()
    first = found["letters"][0]
    assert (first["to"], first["urgency"], first["held"]) == (
        "emergency_department", "emergency", False,
    )  # fmt: skip
    assert "Saddle" in first["text"] or "saddle" in first["text"]


@pytest.mark.parametrize("path", ["/v1/notes", "/v1/letters", "/v1/home-sheets"])
@pytest.mark.parametrize(
    ("more", "problem"),
    [
        ({"format": "pdf"}, ("wrong-value", "/format")),
        ({"draft": True}, ("unknown-key", "/draft")),
    ],
)
def test_what_a_paper_does_not_take_is_refused(
    client: TestClient, path: str, more: dict[str, Any], problem: tuple[str, str]
) -> None:
    answer = client.post(path, json={"case": CASE, **more})
    assert answer.status_code == 422
    assert [(p["code"], p["pointer"]) for p in answer.json()["problems"]] == [problem]


def test_changes_of_two_cases(client: TestClient) -> None:
    after = {**CASE, "as_of": "2026-11-27", "answers": {"saddle_sensation": "altered"}}
    found = client.post("/v1/advice/changes", json={"before": CASE, "after": after}).json()
    assert (found["before"], found["after"]) == ("2026-11-20", "2026-11-27")
    assert {"headline", "care", "referral"} <= {change["about"] for change in found["changes"]}
    assert found["sentences"][0].startswith("The headline was")
    same = client.post("/v1/advice/changes", json={"before": after, "after": after}).json()
    assert (same["changes"], same["sentences"]) == ([], [])


@pytest.mark.parametrize(
    ("body", "problems"),
    [
        ({"before": CASE}, [("missing-key", "")]),
        ({"before": CASE, "after": {**CASE, "as_of": "2026-11-19"}},
         [("date-order", "/after/as_of")]),
        ({"before": {**CASE, "subject": "s-1"}, "after": {**CASE, "subject": "s-2"}},
         [("another-subject", "/after/subject")]),
        ({"before": {**CASE, "moment": "x"}, "after": {**CASE, "as_of": "x"}},
         [("bad-date", "/after/as_of"), ("wrong-value", "/before/moment")]),
        ({"case": CASE, "before": CASE, "after": CASE}, [("unknown-key", "/case")]),
    ],
)  # fmt: skip
def test_two_cases_that_cannot_be_compared_are_refused(
    client: TestClient, body: dict[str, Any], problems: list[tuple[str, str]]
) -> None:
    answer = client.post("/v1/advice/changes", json=body)
    assert answer.status_code == 422
    assert answer.json()["detail"].endswith("Nothing was assessed.")
    assert [(p["code"], p["pointer"]) for p in answer.json()["problems"]] == problems
