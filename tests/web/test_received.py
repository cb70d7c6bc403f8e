from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from cds.web.received import FIELDS

FORM = "application/x-www-form-urlencoded"


def post(client: TestClient, body: bytes, kind: str = FORM) -> tuple[int, str]:
    answer = client.post("/visit", content=body, headers={"content-type": kind})
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    return answer.status_code, answer.text


@pytest.mark.parametrize("kind", [FORM, f"{FORM}; charset=utf-8", FORM.upper()])
def test_a_form_is_read(client: TestClient, kind: str) -> None:
    status, text = post(client, b"as_of=2026-11-20&by=th-1", kind)
    assert status == 200 and 'value="th-1"' in text


@pytest.mark.parametrize("kind", ["text/plain", "application/json", "multipart/form-data", ""])
def test_another_media_type_is_refused(client: TestClient, kind: str) -> None:
    status, text = post(client, b"as_of=2026-11-20", kind)
    assert status == 415 and "Nothing was assessed." in text
    assert "The page was sent in a form it does not have" in text


def test_a_form_that_is_too_long_is_refused(client: TestClient) -> None:
    fits = b"by=" + b"x" * (80_000 - 3)
    assert post(client, fits)[0] == 200
    status, text = post(client, fits + b"x")
    assert status == 413 and "longer than 80000 bytes" in text


@pytest.mark.parametrize("body", [b"by=%FF", b"by=\xff", b"&".join([b"a=1"] * (FIELDS + 1))])
def test_text_that_cannot_be_read_is_refused(client: TestClient, body: bytes) -> None:
    status, text = post(client, body)
    assert status == 400 and "not readable text, or has too many fields" in text


def test_a_field_name_that_no_sheet_has_does_not_crash(client: TestClient) -> None:
    assert post(client, b"nowhere=1&a.no_such_finding=yes&s.L9.a.x=1")[0] in (200, 422)
