"""Routes about one case: `POST /v1/advice` and `POST /v1/cases/check`. Nothing is stored.

They run where they are called: deciding takes about a millisecond, less than a change of thread
costs under load.
"""

from __future__ import annotations

import orjson
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.api.answers import allow_query, private, service_of
from cds.api.body import json_body
from cds.api.errors import Refusal, refusal_of
from cds.problems import CaseError

DETAILS = ("compact", "full")


def _full(request: Request) -> bool:
    allow_query(request, "detail")
    detail = request.query_params.get("detail", DETAILS[0])
    if detail not in DETAILS:
        raise Refusal(
            "bad-request",
            "The query was refused. Nothing was assessed.",
            [{"code": "wrong-value", "parameter": "detail", "message": "must be compact or full"}],
        )
    return detail == "full"


async def advise(request: Request) -> Response:
    """Advice for one case, compact unless `detail=full`."""
    service = service_of(request)
    full = _full(request)
    body = await json_body(request, request.app.state.max_body)
    try:
        envelope = service.advise(body, full=full)
    except CaseError as error:
        raise refusal_of(error) from None
    return private(orjson.dumps(envelope))


async def check(request: Request) -> Response:
    """Whether a case is readable, and what of it would count."""
    service = service_of(request)
    allow_query(request)
    body = await json_body(request, request.app.state.max_body)
    try:
        result = service.check(body)
    except CaseError as error:
        raise refusal_of(error) from None
    return private(orjson.dumps(result))


def router() -> APIRouter:
    """The routes about one case."""
    found = APIRouter(redirect_slashes=False)
    found.add_api_route("/v1/advice", advise, methods=["POST"], include_in_schema=False)
    found.add_api_route("/v1/cases/check", check, methods=["POST"], include_in_schema=False)
    return found
