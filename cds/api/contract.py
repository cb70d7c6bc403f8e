"""The operations of the published contract: what each takes, answers and refuses."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from cds.api import examples
from cds.api.errors import PROBLEM_JSON, TYPES, ProblemDetails
from cds.api.typed_schema import Schema, reference

REQUEST_ID: Schema = {
    "description": "Id of this request, as in the service's log. A UUID that was sent is kept.",
    "required": True,
    "schema": {"type": "string", "minLength": 1},
}
_TAG: Schema = {
    "description": "The edition's digest, quoted.",
    "required": True,
    "schema": {"type": "string"},
}
_NO_STORE: Schema = {
    "description": "Nobody may store this answer.",
    "required": True,
    "schema": {"const": "no-store"},
}
_IF_NONE_MATCH: Schema = {
    "name": "If-None-Match",
    "in": "header",
    "description": "Tags of editions that the client has.",
    "schema": {"type": "string"},
}


def problems(*names: str) -> Schema:
    """Answers for types of problems, one entry for each status."""
    found: Schema = {}
    for name in names:
        kind = TYPES[name]
        status = str(kind.status)
        said = f"`{kind.uri}`: {kind.about}"
        if status in found:
            found[status]["description"] += f" {said}"
            continue
        headers = {"X-Request-ID": REQUEST_ID, "Cache-Control": _NO_STORE}
        if name == "method-not-allowed":
            headers["Allow"] = {"required": True, "schema": {"type": "string"}}
        found[status] = {
            "description": said,
            "headers": headers,
            "content": {PROBLEM_JSON: {"schema": reference(ProblemDetails)}},
        }
    return found


def read(
    name: str,
    summary: str,
    answer: Schema,
    *,
    media: str = "application/json",
    tagged: bool = False,
    refused: Iterable[str] = (),
    parameters: Iterable[Schema] = (),
) -> Schema:
    """A read operation, with its HEAD twin."""
    headers = {"X-Request-ID": REQUEST_ID, **({"ETag": _TAG} if tagged else {})}
    responses: Schema = {
        "200": {
            "description": summary,
            "headers": headers,
            "content": {media: {"schema": answer}},
        },
        **problems("bad-request", *refused, "internal"),
    }
    if tagged:
        responses["304"] = {"description": "The client has this edition.", "headers": headers}
    operation: Schema = {
        "operationId": name,
        "summary": summary,
        "parameters": [*parameters, *([_IF_NONE_MATCH] if tagged else [])],
        "responses": responses,
    }
    bare = {
        status: {key: value for key, value in response.items() if key != "content"}
        for status, response in responses.items()
    }
    head = {
        **operation,
        "operationId": f"{name}_head",
        "summary": f"{summary} Headers only.",
        "responses": bare,
    }
    return {"get": operation, "head": head}


def write(
    name: str,
    summary: str,
    description: str,
    body: Schema,
    requests: dict[str, Any],
    answer: Schema,
    parameters: Iterable[Schema] = (),
) -> Schema:
    """An operation about one case."""
    refused = problems(
        "bad-request", "bad-json", "body-too-large", "unsupported-media-type", "case-refused",
        "internal", "not-ready",
    )  # fmt: skip
    refused["422"]["content"][PROBLEM_JSON]["examples"] = {
        "refused": {
            "summary": "A misspelt member, a day that does not exist, a word not allowed",
            "value": examples.REFUSED,
        }
    }
    return {
        "post": {
            "operationId": name,
            "summary": summary,
            "description": description,
            "parameters": list(parameters),
            "requestBody": {
                "required": True,
                "content": {"application/json": {"schema": body, "examples": requests}},
            },
            "responses": {
                "200": {
                    "description": summary,
                    "headers": {"X-Request-ID": REQUEST_ID, "Cache-Control": _NO_STORE},
                    "content": {"application/json": {"schema": answer}},
                },
                **refused,
            },
        }
    }
