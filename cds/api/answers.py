"""JSON answers from bytes, with the headers that say who may keep them."""

from __future__ import annotations

from collections.abc import Collection

from starlette.requests import Request
from starlette.responses import Response

from cds.api.errors import ProblemItem, Refusal
from cds.service.wiring import Service

JSON = "application/json"


def service_of(request: Request) -> Service:
    """The service behind the application. Raises `Refusal` (503) while there is none."""
    service = request.app.state.service
    if not isinstance(service, Service):
        raise Refusal(
            "not-ready",
            "The rule book is not loaded. Nothing was assessed.",
            headers={"retry-after": "5"},
        )
    return service


def private(body: bytes) -> Response:
    """An answer about a patient: nobody may store it."""
    return Response(body, headers={"cache-control": "no-store"}, media_type=JSON)


def of_edition(request: Request, service: Service, body: bytes) -> Response:
    """An answer that only the edition changes: tagged with its digest, 304 to those who have it."""
    tag = f'"{service.digest}"'
    headers = {"etag": tag, "cache-control": "no-cache"}
    if _has(request.headers.getlist("if-none-match"), tag):
        return Response(status_code=304, headers=headers)
    return Response(body, headers=headers, media_type=JSON)


def _has(values: Collection[str], tag: str) -> bool:
    """Whether `If-None-Match` names the tag: weak comparison, as RFC 9110 §13.1.2 wants."""
    named = [part.strip() for value in values for part in value.split(",")]
    return "*" in named or tag in [part.removeprefix("W/") for part in named]


def allow_query(request: Request, *names: str) -> None:
    """Refuse (400) query parameters that the route does not have, and repeated ones.

    A misspelt parameter would otherwise silently give another answer than was asked for.
    """
    items: list[ProblemItem] = []
    seen: set[str] = set()
    for name, _ in request.query_params.multi_items():
        if name not in names:
            # The name as sent is not repeated: it could be anything.
            items.append({"code": "unknown-parameter", "message": "this route has no such query "
                          "parameter"})  # fmt: skip
        elif name in seen:
            items.append({"code": "repeated-parameter", "parameter": name,
                          "message": "this query parameter is sent twice"})  # fmt: skip
        seen.add(name)
    if items:
        raise Refusal("bad-request", "The query was refused. Nothing was assessed.", items)
