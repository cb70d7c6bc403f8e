from __future__ import annotations

import io
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from cds.api.app import create_app
from cds.service.log import new_log
from tests.support.shipped import shipped_service


@dataclass
class Door:
    """The application on the shipped book, a client, and what it logged."""

    app: FastAPI
    client: TestClient
    stream: io.StringIO = field(default_factory=io.StringIO)

    @property
    def logged(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in self.stream.getvalue().splitlines()]


@pytest.fixture
def door() -> Iterator[Door]:
    stream = io.StringIO()
    app = create_app(shipped_service(), log=new_log("debug", stream))
    with TestClient(app, raise_server_exceptions=False) as client:
        yield Door(app, client, stream)


@pytest.fixture
def client(door: Door) -> TestClient:
    return door.client
