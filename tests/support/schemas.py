"""The published contract with the edition's own case schema in its place."""

from __future__ import annotations

import json
from typing import Any

from cds.api.openapi import document_bytes
from cds.vocabulary.schema import case_schema
from tests.support.shipped import shipped_service

PREFIX = "Case_"


def _moved(node: Any) -> Any:
    """The schema with its own definitions referred to as components of the document."""
    if isinstance(node, dict):
        return {
            key: f"#/components/schemas/{PREFIX}{value.rpartition('/')[2]}"
            if key == "$ref"
            else _moved(value)
            for key, value in node.items()
        }
    return [_moved(item) for item in node] if isinstance(node, list) else node


def edition_document() -> dict[str, Any]:
    """The contract as it holds for the shipped edition."""
    found: dict[str, Any] = json.loads(document_bytes())
    schema = _moved(case_schema(shipped_service().decider.vocabulary))
    schemas = found["components"]["schemas"]
    for name, definition in schema.pop("$defs").items():
        schemas[PREFIX + name] = definition
    for key in ("$schema", "examples"):
        schema.pop(key, None)
    schemas["Case"] = schema
    return found
