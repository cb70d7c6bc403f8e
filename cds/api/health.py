"""Routes for whoever keeps the service running: is the process alive, is the rule book loaded?"""

from __future__ import annotations

import orjson
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

import cds
from cds.api.answers import allow_query
from cds.api.shapes import Health
from cds.service.wiring import Service

HEALTH_JSON = "application/health+json"


async def live(request: Request) -> Response:
    """Whether the process answers at all."""
    allow_query(request)
    return _answer({"status": "pass", "version": cds.__version__}, 200)


async def ready(request: Request) -> Response:
    """Whether advice can be given: the rule book passed its checks and is loaded."""
    allow_query(request)
    service = request.app.state.service
    if not isinstance(service, Service):
        waiting: Health = {
            "status": "fail",
            "version": cds.__version__,
            "output": "the rule book is not loaded",
        }
        return _answer(waiting, 503)
    return _answer({"status": "pass", "version": cds.__version__, "releaseId": service.digest}, 200)


def _answer(health: Health, status: int) -> Response:
    headers = {"cache-control": "no-store"}
    return Response(orjson.dumps(health), status, headers, HEALTH_JSON)


def router() -> APIRouter:
    """The health routes; each answers HEAD too."""
    found = APIRouter(redirect_slashes=False)
    for path, route in (("/health/live", live), ("/health/ready", ready)):
        found.add_api_route(path, route, methods=["GET", "HEAD"], include_in_schema=False)
    return found
