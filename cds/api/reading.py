"""Routes that only the edition changes: version, vocabulary, rule book, problem types, contract."""

from __future__ import annotations

import orjson
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

import cds
from cds.api.answers import JSON, allow_query, of_edition, service_of
from cds.api.errors import TYPES, Refusal
from cds.api.openapi import CONTRACT_VERSION, document_bytes
from cds.api.shapes import ProblemTypeView, Version
from cds.service.vocabulary_view import edition_view

READS = ["GET", "HEAD"]


async def version(request: Request) -> Response:
    """Which product, contract and edition answer."""
    service = service_of(request)
    allow_query(request)
    found: Version = {
        "product": "Featheredge",
        "version": cds.__version__,
        "contract": CONTRACT_VERSION,
        "rule_language": service.program.language,
        "edition": edition_view(service.program),
    }
    return Response(
        orjson.dumps(found), headers={"cache-control": "no-cache"}, media_type=JSON
    )  # not tagged: the product's version changes it too


async def vocabulary(request: Request) -> Response:
    """What may be recorded and concluded, with the JSON Schema of a case."""
    service = service_of(request)
    allow_query(request)
    return of_edition(request, service, service.vocabulary)


async def rulebook(request: Request) -> Response:
    """The rule book, rules in short."""
    service = service_of(request)
    allow_query(request)
    return of_edition(request, service, service.rulebook)


async def rule(request: Request) -> Response:
    """One rule in full."""
    service = service_of(request)
    allow_query(request)
    found = service.rule(request.path_params["id"])
    if found is None:
        raise Refusal("not-found", "This edition has no rule of that id.")
    return of_edition(request, service, found)


async def problem_type(request: Request) -> Response:
    """What one type of error means."""
    allow_query(request)
    kind = TYPES.get(request.path_params["name"])
    if kind is None:
        raise Refusal("not-found", "There is no such type of problem.")
    found: ProblemTypeView = {
        "type": kind.uri,
        "title": kind.title,
        "status": kind.status,
        "about": kind.about,
    }
    return Response(orjson.dumps(found), media_type=JSON)


async def contract(request: Request) -> Response:
    """The published contract of this interface (OpenAPI 3.1)."""
    allow_query(request)
    return Response(document_bytes(), media_type=JSON)


def router() -> APIRouter:
    """The read routes; each answers HEAD too."""
    found = APIRouter(redirect_slashes=False)
    for path, route in (
        ("/v1/version", version),
        ("/v1/vocabulary", vocabulary),
        ("/v1/rulebook", rulebook),
        ("/v1/rulebook/rules/{id}", rule),
        ("/problems/{name}", problem_type),
        ("/openapi.json", contract),
    ):
        found.add_api_route(path, route, methods=READS, include_in_schema=False)
    return found
