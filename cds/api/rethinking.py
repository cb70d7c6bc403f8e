"""Routes that decide a case again: questions, the session table, closing a session.

Nothing is stored. They take as long as some dozens of decisions; the search for a smallest set of
answers is bounded.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping

import orjson
from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from cds.api.answers import allow_query, private, service_of
from cds.api.body import json_body
from cds.api.errors import refusal_of
from cds.problems import CaseError
from cds.service.wiring import Service

UseCase = Callable[[Service, object], object]

ROUTES: Mapping[str, UseCase] = {
    "/v1/advice/questions": Service.questions,
    "/v1/advice/session-table": Service.session_table,
    "/v1/sessions/close": Service.close_session,
}


def _route(use: UseCase) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        service = service_of(request)
        allow_query(request)
        body = await json_body(request, request.app.state.max_body)
        try:
            # long enough to let others be answered meanwhile, unlike a single decision
            result = await run_in_threadpool(use, service, body)
        except CaseError as error:
            raise refusal_of(error) from None
        return private(orjson.dumps(result))

    return answer


def router() -> APIRouter:
    """The routes."""
    found = APIRouter(redirect_slashes=False)
    for path, use in ROUTES.items():
        found.add_api_route(path, _route(use), methods=["POST"], include_in_schema=False)
    return found
