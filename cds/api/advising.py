"""Routes about a case: advice, check, what changed, and the papers. Nothing is stored.

They run where they are called: deciding takes about a millisecond, less than a change of thread
costs under load.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping

import orjson
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.api.answers import allow_query, private, service_of
from cds.api.body import json_body
from cds.api.errors import Refusal, refusal_of
from cds.problems import CaseError
from cds.service.wiring import Service

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


UseCase = Callable[[Service, object], object]

PLAIN: Mapping[str, UseCase] = {
    "/v1/cases/check": lambda service, body: service.check(body),
    "/v1/advice/changes": lambda service, body: service.changes(body),
    "/v1/notes": lambda service, body: service.note(body),
    "/v1/letters": lambda service, body: service.letters(body),
    "/v1/home-sheets": lambda service, body: service.home_sheet(body),
}
"""Routes without parameters: a body in, the use case's answer out."""


def _plain(use: UseCase) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        service = service_of(request)
        allow_query(request)
        body = await json_body(request, request.app.state.max_body)
        try:
            result = use(service, body)
        except CaseError as error:
            raise refusal_of(error) from None
        return private(orjson.dumps(result))

    return answer


def router() -> APIRouter:
    """The routes about a case."""
    found = APIRouter(redirect_slashes=False)
    found.add_api_route("/v1/advice", advise, methods=["POST"], include_in_schema=False)
    for path, use in PLAIN.items():
        found.add_api_route(path, _plain(use), methods=["POST"], include_in_schema=False)
    return found
