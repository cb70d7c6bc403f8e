from __future__ import annotations

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from cds.api.app import create_app
from cds.settings import DEFAULT_MAX_BODY
from tests.support.shipped import shipped_service

JSON = {"content-type": "application/json"}
CASE = b'{"case": {"as_of": "2026-11-20", "moment": "before_session"%s}}'
GOOD = CASE % b""

MALFORMED = {
    "empty": (b"", "body-not-json"),
    "spaces": (b"  \n", "body-not-json"),
    "cut off": (GOOD[:-1], "body-not-json"),
    "two values": (GOOD + GOOD, "body-not-json"),
    "single quotes": (b"{'case': {}}", "body-not-json"),
    "trailing comma": (b'{"case": {},}', "body-not-json"),
    "comment": (b'{"case": {} /* x */}', "body-not-json"),
    "byte order mark": (b"\xef\xbb\xbf" + GOOD, "body-not-json"),
    "not utf-8": (CASE % b', "subject": "\xff\xfe"', "body-not-utf8"),
    "utf-16": (GOOD.decode().encode("utf-16"), "body-not-utf8"),
    "overlong utf-8": (CASE % b', "subject": "\xc0\xaf"', "body-not-utf8"),
    "raw surrogate": (CASE % b', "subject": "\xed\xa0\x80"', "body-not-utf8"),
    "duplicate key": (CASE % b', "moment": "contact"', "duplicate-key"),
    "duplicate key at the top": (b'{"case": {}, "case": {}}', "duplicate-key"),
    "NaN": (CASE % b', "answers": {"pain": NaN}', "number-not-finite"),
    "infinity": (CASE % b', "answers": {"pain": -Infinity}', "number-not-finite"),
    "huge integer": (CASE % (b', "answers": {"pain": ' + b"9" * 5000 + b"}"), "number-too-large"),
    "above 2**53": (CASE % b', "answers": {"pain": 9007199254740993}', "number-too-large"),
    "huge exponent": (CASE % b', "answers": {"pain": 1e999999999}', "number-too-large"),
    "lone surrogate": (CASE % b', "subject": "\\ud800"', "lone-surrogate"),
    "lone surrogate in a key": (CASE % b', "\\udc00": 1', "lone-surrogate"),
    "deep lists": (b"[" * 1000 + b"]" * 1000, "body-too-deep"),
    "very deep lists": (b"[" * 100_000 + b"]" * 100_000, "body-too-deep"),
    "deep objects": (b'{"a":' * 1000 + b"1" + b"}" * 1000, "body-too-deep"),
    "unclosed and deep": (b"[" * 100_000, "body-too-deep"),
}


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    app = create_app(shipped_service())
    with TestClient(app, raise_server_exceptions=False) as found:
        yield found


@pytest.mark.parametrize("route", ["/v1/advice", "/v1/cases/check"])
@pytest.mark.parametrize("name", MALFORMED)
def test_what_json_readers_disagree_about_is_refused(
    client: TestClient, route: str, name: str
) -> None:
    body, code = MALFORMED[name]
    answer = client.post(route, content=body, headers=JSON)
    assert answer.status_code == 400, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    found = answer.json()
    assert found["type"] == "/problems/bad-json"
    assert code in [item["code"] for item in found["problems"]]
    assert "Nothing was assessed." in found["detail"]


@pytest.mark.parametrize(
    "kind",
    [
        "text/plain",
        "application/xml",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
        "application/fhir+json",
        "application/json; charset=utf-16",
        "application/json; charset=latin-1",
        "application/jsonp",
        "application",
        "",
    ],
)
def test_another_media_type_is_refused(client: TestClient, kind: str) -> None:
    answer = client.post("/v1/advice", content=GOOD, headers={"content-type": kind})
    assert answer.status_code == 415
    assert answer.json()["type"] == "/problems/unsupported-media-type"
    assert answer.headers["accept-post"] == "application/json"


def test_a_missing_or_repeated_media_type_is_refused(client: TestClient) -> None:
    assert client.post("/v1/advice", content=GOOD).status_code == 415
    twice = [("content-type", "application/json"), ("content-type", "text/plain")]
    assert client.post("/v1/advice", content=GOOD, headers=twice).status_code == 415


@pytest.mark.parametrize(
    "kind",
    [
        "application/json",
        "Application/JSON",
        "application/json; charset=utf-8",
        'application/json;charset="UTF-8"',
    ],
)
def test_json_in_utf8_is_taken(client: TestClient, kind: str) -> None:
    answer = client.post("/v1/advice", content=GOOD, headers={"content-type": kind})
    assert answer.status_code == 200


def test_a_content_coding_is_refused(client: TestClient) -> None:
    answer = client.post("/v1/advice", content=GOOD, headers={**JSON, "content-encoding": "gzip"})
    assert answer.status_code == 415
    assert answer.headers["accept-encoding"] == "identity"


def padded(size: int) -> bytes:
    return GOOD + b" " * (size - len(GOOD))


def test_the_cap_is_exact(client: TestClient) -> None:
    fits = client.post("/v1/advice", content=padded(DEFAULT_MAX_BODY), headers=JSON)
    assert fits.status_code == 200
    over = client.post("/v1/advice", content=padded(DEFAULT_MAX_BODY + 1), headers=JSON)
    assert over.status_code == 413
    assert over.json()["type"] == "/problems/body-too-large"
    assert [item["code"] for item in over.json()["problems"]] == ["body-too-large"]


@pytest.mark.parametrize("length", [str(DEFAULT_MAX_BODY + 1), "9" * 40])
def test_a_declared_length_over_the_cap_is_refused_before_reading(
    client: TestClient, length: str
) -> None:
    headers = {**JSON, "content-length": length}
    assert client.post("/v1/advice", content=GOOD, headers=headers).status_code == 413


def test_a_length_that_lies_does_not_help(client: TestClient) -> None:
    headers = {**JSON, "content-length": "10"}
    answer = client.post("/v1/advice", content=padded(DEFAULT_MAX_BODY + 1), headers=headers)
    assert answer.status_code == 413


def test_a_body_in_parts_without_a_length_is_cut_off(client: TestClient) -> None:
    sent = 0

    def parts() -> Iterator[bytes]:
        nonlocal sent
        while sent < 64:
            sent += 1
            yield b" " * 65_536

    answer = client.post("/v1/advice", content=parts(), headers=JSON)
    assert answer.status_code == 413


def test_a_body_in_parts_is_put_together(client: TestClient) -> None:
    parts = iter([GOOD[:10], GOOD[10:11], GOOD[11:]])
    assert client.post("/v1/advice", content=parts, headers=JSON).status_code == 200


def test_the_cap_is_a_setting() -> None:
    app = create_app(shipped_service(), max_body=len(GOOD))
    with TestClient(app) as client:
        assert client.post("/v1/advice", content=GOOD, headers=JSON).status_code == 200
        assert client.post("/v1/advice", content=GOOD + b" ", headers=JSON).status_code == 413
