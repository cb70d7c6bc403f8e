"""What a case sheet would send for a case of the fixtures: its record, and today's levels."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from tests.support.fixtures import folder

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"


@cache
def _cases() -> dict[str, dict[str, Any]]:
    return {fixture.name: fixture.case for fixture in folder("cases")}


def demo(name: str) -> dict[str, Any]:
    """The case of a demo request."""
    case: dict[str, Any] = json.loads((DEMO / f"{name}.json").read_text())["case"]
    return case


def fixture(name: str) -> dict[str, Any]:
    """The case of a fixture, by the end of its file's name."""
    (found,) = [case for key, case in _cases().items() if key.rpartition("/")[2] == name]
    return found


def sent(case: dict[str, Any], **more: str) -> dict[str, str]:
    """The fields: everything known as the record, the levels felt today as if typed."""
    by = case.get("clinician", {}).get("id", "t-03")
    fields = {"as_of": case["as_of"], "moment": case["moment"], "by": by}
    segments = case.get("segments")
    if segments is not None:
        fields["palpated"] = "yes"
    for segment in segments or ():
        level = segment["level"]
        fields[f"s.{level}"] = "yes"
        for position, side in (segment.get("prominent") or {}).items():
            fields[f"s.{level}.{position}"] = side
    record = {key: value for key, value in case.items() if key != "today"}
    fields["record"] = json.dumps(record, default=str)
    for family in ("muscle_energy", "mobilization", "thrust"):
        fields[f"training.{family}"] = "yes"
    return {**fields, **more}
