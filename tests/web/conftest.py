from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from starlette.testclient import TestClient

from cds.api.app import create_app
from cds.service.log import new_log
from cds.service.wiring import Service
from cds.web.pages import router
from cds.web.problem_page import problem_page
from cds.web.site import Site
from tests.support.shipped import shipped_service

TODAY = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)
PERSON = {"accept": "text/html,application/xhtml+xml,*/*;q=0.8"}


def client_of(service: Service | None, *, today: datetime = TODAY) -> TestClient:
    """A person's browser on the whole application, at a fixed time."""
    site = Site()
    held = None if service is None else replace(service, now=lambda: today)
    app = create_app(
        held,
        max_body=20_000,
        log=new_log("error", io.StringIO()),
        beside=[router(site)],
        for_people=problem_page(site),
    )
    return TestClient(app, headers=PERSON, raise_server_exceptions=False)


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient]:
    with client_of(shipped_service()) as found:
        yield found
