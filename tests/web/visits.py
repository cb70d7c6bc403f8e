"""A case of a fixture as the fields that a case sheet sends: the record, and what the day adds."""

from __future__ import annotations

from typing import Any

import orjson

from tests.support.shipped import demo
from tests.whatif.cases import data


def fields_of(case: dict[str, Any]) -> dict[str, str]:
    """Fields that make this case again: palpated sides are typed, the rest is the record."""
    fields = {
        "as_of": str(case["as_of"]),
        "moment": case.get("moment", "before_session"),
        "by": case.get("clinician", {}).get("id", ""),
        "record": orjson.dumps(case, default=float).decode(),
    }
    for family, trained in case.get("clinician", {}).get("training", {}).items():
        fields[f"training.{family}"] = trained
    if "segments" in case:
        fields["palpated"] = "yes"
    for segment in case.get("segments", []):
        fields[f"s.{segment['level']}"] = "yes"
        for position, side in segment.get("prominent", {}).items():
            fields[f"s.{segment['level']}.{position}"] = side
    return fields


def fixture_fields(name: str) -> dict[str, str]:
    """The fields of one fixture of the shipped rule book."""
    return fields_of(data(name))


def demo_fields(name: str) -> dict[str, str]:
    """The fields of one of the demonstration's requests."""
    return fields_of(demo(name)["case"])
