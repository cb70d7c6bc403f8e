from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from cds.web.pages import router
from tests.support.shipped import shipped_service


def test_the_start_says_what_the_book_covers(client: TestClient) -> None:
    text = client.get("/").text
    for line in shipped_service().program.scope_notice:
        assert line.replace("'", "&#39;") in text
    for href in ("/visit", "/rulebook"):
        assert f'href="{href}"' in text


def test_no_page_is_part_of_the_published_contract() -> None:
    assert not [route.path for route in router().routes if getattr(route, "include_in_schema", 0)]


@pytest.mark.parametrize("path", ["/", "/rulebook"])
def test_a_page_that_is_read_takes_no_post(client: TestClient, path: str) -> None:
    answer = client.post(path, data={"a": "b"})
    assert answer.status_code == 405
    assert "GET" in answer.headers["allow"]
    assert answer.headers["content-type"].startswith("text/html")


@pytest.mark.parametrize("path", ["/rulebook/", "/visit/", "/Rulebook"])
def test_another_spelling_is_another_page(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404
