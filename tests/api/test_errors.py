from __future__ import annotations

from collections.abc import Mapping

import jsonschema
import orjson
import pytest
from starlette.requests import Request
from starlette.responses import Response
from starlette.testclient import TestClient

from cds.api.app import create_app
from cds.api.errors import PROBLEM_JSON, TYPES, ProblemDetails, Refusal, answer, refusal_of
from cds.api.typed_schema import components, reference
from cds.problems import CaseError, Problem
from cds.vocabulary.codes import CASE_CODES, JSON_CODES

SCHEMA = {"components": {"schemas": components(ProblemDetails)}, **reference(ProblemDetails)}


@pytest.mark.parametrize(
    ("method", "path", "status", "kind"),
    [
        ("GET", "/", 404, "not-found"),
        ("GET", "/v1", 404, "not-found"),
        ("GET", "/v1/advice/", 404, "not-found"),
        ("GET", "/v1/version/", 404, "not-found"),
        ("GET", "/v1/rulebook/rules/no-such-rule", 404, "not-found"),
        ("GET", "/v1/rulebook/rules/", 404, "not-found"),
        ("GET", "/problems/no-such-problem", 404, "not-found"),
        ("GET", "/favicon.ico", 404, "not-found"),
        ("GET", "/v1/advice", 405, "method-not-allowed"),
        ("PUT", "/v1/advice", 405, "method-not-allowed"),
        ("OPTIONS", "/v1/advice", 405, "method-not-allowed"),
        ("POST", "/v1/version", 405, "method-not-allowed"),
        ("DELETE", "/v1/rulebook/rules/cauda-equina-suspected", 405, "method-not-allowed"),
        ("TRACE", "/health/live", 405, "method-not-allowed"),
        ("BREW", "/health/live", 405, "method-not-allowed"),
        ("GET", "/v1/version?x=1", 400, "bad-request"),
        ("POST", "/v1/advice", 415, "unsupported-media-type"),
    ],
)
def test_every_error_has_the_one_shape(
    client: TestClient, method: str, path: str, status: int, kind: str
) -> None:
    found = client.request(method, path)
    assert found.status_code == status
    assert found.headers["content-type"] == PROBLEM_JSON
    assert found.headers["cache-control"] == "no-store"
    body = found.json()
    jsonschema.validate(body, SCHEMA)
    assert body["type"] == f"/problems/{kind}"
    assert body["status"] == status
    assert body["request_id"] == found.headers["x-request-id"]
    if status == 405:
        assert found.headers["allow"]


@pytest.mark.parametrize("name", TYPES)
def test_every_type_can_be_read_where_it_points(client: TestClient, name: str) -> None:
    kind = TYPES[name]
    found = client.get(kind.uri)
    assert found.status_code == 200
    assert found.json() == {
        "type": kind.uri,
        "title": kind.title,
        "status": kind.status,
        "about": kind.about,
    }


def refusal(*codes: str) -> Refusal:
    return refusal_of(CaseError(Problem(code, "m", pointer="/case") for code in codes))


def test_what_was_wrong_chooses_the_type() -> None:
    assert refusal("body-too-large").kind.name == "body-too-large"
    for code in JSON_CODES.keys() - {"body-too-large"}:
        assert refusal(code).kind.name == "bad-json"
    for code in CASE_CODES:
        assert refusal(code).kind.name == "case-refused"
    assert refusal("duplicate-key", "wrong-value").kind.name == "case-refused"


def test_a_refusal_about_a_case_says_that_nothing_was_assessed() -> None:
    for code in (*JSON_CODES, *CASE_CODES):
        assert "Nothing was assessed." in refusal(code).detail
    assert "assessed" in TYPES["internal"].about


def test_members_that_are_not_there_are_left_out() -> None:
    found = refusal_of(CaseError([Problem("body-not-json", "m")]))
    assert found.problems == [{"code": "body-not-json", "message": "m"}]
    helped = refusal_of(CaseError([Problem("unknown-key", "m", pointer="/x", help="h")]))
    assert helped.problems == [
        {"code": "unknown-key", "message": "m", "pointer": "/x", "help": "h"}
    ]


def test_an_answer_is_never_stored() -> None:
    found = answer(TYPES["internal"], "d", "i", headers={"cache-control": "public", "x-a": "b"})
    assert found.headers["cache-control"] == "no-store"
    assert found.headers["x-a"] == "b"
    assert orjson.loads(bytes(found.body))["request_id"] == "i"


def test_a_form_that_cannot_be_read_has_its_type() -> None:
    assert refusal("wrong-form-type").kind.name == "unsupported-media-type"
    assert refusal("wrong-form").kind.name == "bad-request"


@pytest.mark.parametrize(
    ("path", "accept", "kind"),
    [
        ("/nowhere", "text/html", "text/html"),
        ("/nowhere", "application/json, TEXT/HTML;q=0.5", "text/html"),
        ("/nowhere", "*/*", PROBLEM_JSON),
        ("/v1/nowhere", "text/html", PROBLEM_JSON),
        ("/health/nowhere", "text/html", PROBLEM_JSON),
    ],
)
def test_a_page_for_people_where_the_application_has_one(path: str, accept: str, kind: str) -> None:
    def show(request: Request, problem: Mapping[str, object]) -> Response:
        assert problem["status"] == 404
        return Response("a page", 404, {"cache-control": "public"}, "text/html")

    with TestClient(create_app(for_people=show)) as client:
        answer = client.get(path, headers={"accept": accept})
        assert (answer.status_code, answer.headers["cache-control"]) == (404, "no-store")
        assert answer.headers["content-type"].startswith(kind)
    with TestClient(create_app()) as client:
        answer = client.get(path, headers={"accept": accept})
        assert answer.headers["content-type"] == PROBLEM_JSON
