"""The shipped rule book behind the real service, loaded once for each process."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from cds.service.wiring import Service, build_service
from cds.settings import Settings
from tests.support.fixtures import decider
from tests.support.optional import ROOT


@cache
def shipped_service() -> Service:
    return build_service(Settings(), ROOT / "rules")


def shipped_text(name: str) -> str:
    """What a text of the shipped rule book says."""
    return decider().program.texts[name].say


def demo(name: str) -> dict[str, Any]:
    """The body of one of the demonstration's requests, a fresh copy."""
    text = (ROOT / "fixtures" / "demo" / f"{name}.json").read_text(encoding="utf-8")
    body: dict[str, Any] = json.loads(text)
    return body
