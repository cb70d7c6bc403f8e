from __future__ import annotations

from starlette.testclient import TestClient

import cds
from cds.api.app import create_app
from tests.support.shipped import shipped_service


def test_alive_and_ready(client: TestClient) -> None:
    for path in ("/health/live", "/health/ready"):
        found = client.get(path)
        assert found.status_code == 200
        assert found.headers["content-type"] == "application/health+json"
        assert found.headers["cache-control"] == "no-store"
        assert found.json()["status"] == "pass"
        assert found.json()["version"] == cds.__version__
    assert client.get("/health/ready").json()["releaseId"] == shipped_service().digest


def test_alive_but_not_ready_without_a_rule_book() -> None:
    with TestClient(create_app()) as client:
        assert client.get("/health/live").status_code == 200
        for found in (client.get("/health/ready"), client.head("/health/ready")):
            assert found.status_code == 503
            assert found.headers["content-type"] == "application/health+json"
        assert client.get("/health/ready").json()["status"] == "fail"
