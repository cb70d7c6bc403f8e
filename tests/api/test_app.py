from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor

from starlette.routing import BaseRoute
from starlette.testclient import TestClient

from cds.api.app import create_app
from cds.api.openapi import document
from tests.api.conftest import Door
from tests.support.shipped import demo, shipped_service


def served(routes: list[BaseRoute]) -> dict[str, set[str]]:
    """Path -> methods of every route, those of included parts too."""
    found: dict[str, set[str]] = {}
    for route in routes:
        inner = getattr(route, "original_router", None) or getattr(route, "router", None)
        if inner is not None:
            for path, methods in served(inner.routes).items():
                found.setdefault(path, set()).update(methods)
        elif hasattr(route, "path"):
            found.setdefault(route.path, set()).update(getattr(route, "methods", None) or ())
    return found


def test_exactly_the_published_operations_are_served(door: Door) -> None:
    wanted = {
        path: {method.upper() for method in item} for path, item in document()["paths"].items()
    }
    assert served(list(door.app.routes)) == wanted


def test_two_applications_share_nothing() -> None:
    first, second = create_app(shipped_service()), create_app()
    assert first.state.service is not None
    assert second.state.service is None


def test_an_application_without_a_service_is_alive_and_assesses_nothing() -> None:
    app = create_app()
    with TestClient(app) as client:
        assert client.get("/health/live").status_code == 200
        for path in ("/v1/version", "/v1/vocabulary", "/v1/rulebook", "/v1/rulebook/rules/x"):
            answer = client.get(path)
            assert answer.status_code == 503
            assert answer.json()["type"] == "/problems/not-ready"
            assert answer.headers["retry-after"]
        answer = client.post("/v1/advice", json=demo("first_visit"))
        assert answer.status_code == 503
        assert "Nothing was assessed." in answer.json()["detail"]
        app.state.service = shipped_service()
        assert client.post("/v1/advice", json=demo("first_visit")).status_code == 200


def test_no_page_and_no_telemetry_of_the_framework(door: Door) -> None:
    assert door.app.docs_url is None
    assert door.app.redoc_url is None
    assert door.client.get("/docs").status_code == 404
    assert not door.app._native_telemetry.enabled()


def test_many_at_once_get_what_each_asked_for(door: Door) -> None:
    bodies = [demo("first_visit"), demo("sixth_visit")]
    alone = [door.client.post("/v1/advice", json=body).json()["advice"] for body in bodies]

    def one(number: int) -> bool:
        found = door.client.post("/v1/advice", json=bodies[number % 2]).json()
        return bool(found["advice"] == alone[number % 2])

    with ThreadPoolExecutor(8) as pool:
        assert all(pool.map(one, range(60)))
    ids = [line["request_id"] for line in door.logged]
    assert len(set(ids)) == len(ids) == 62


def test_other_kinds_of_connection_are_refused(door: Door) -> None:
    sent: list[str] = []

    async def receive() -> dict[str, str]:
        return {"type": "websocket.connect"}

    async def send(message: dict[str, object]) -> None:
        sent.append(str(message["type"]))

    scope = {"type": "websocket", "path": "/v1/advice", "headers": []}
    asyncio.run(door.app(scope, receive, send))  # type: ignore[arg-type]
    assert sent == ["websocket.close"]
