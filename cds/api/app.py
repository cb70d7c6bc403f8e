"""The application: routes, handlers, the outermost layer. Nothing is started or configured here."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import APIRouter, FastAPI
from fastapi.telemetry import TelemetryConfig
from starlette.middleware.gzip import GZipMiddleware

from cds.api import advising, health, reading, rethinking
from cds.api.errors import ForPeople, add_handlers
from cds.api.middleware import Outermost
from cds.service.log import Log, new_log
from cds.service.wiring import Service
from cds.settings import DEFAULT_MAX_BODY

# The framework's own telemetry would carry validation failures and texts of exceptions.
NO_TELEMETRY: TelemetryConfig = {
    "tracing": False,
    "metrics": False,
    "logs": False,
    "operation_spans": False,
    "auto_configure": False,
}

COMPRESS_FROM = 4096
"""Bytes from which an answer is compressed for those who take it so."""


def create_app(
    service: Service | None = None,
    *,
    max_body: int = DEFAULT_MAX_BODY,
    log: Log | None = None,
    beside: Sequence[APIRouter] = (),
    for_people: ForPeople | None = None,
) -> FastAPI:
    """The HTTP door on `service`, and the routes of other doors `beside` it (the pages).

    Without one the application is alive but not ready, until `app.state.service` is set. `max_body`
    in bytes; `log` from `cds.service.log.new_log` (standard error where none is given);
    `for_people` makes a page of an error for those who asked for a page.
    """
    app = FastAPI(
        title="Featheredge",
        telemetry=NO_TELEMETRY,
        openapi_url=None,  # a written document is served instead; no page loads foreign scripts
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
    )
    app.state.service = service
    app.state.max_body = max_body
    app.state.for_people = for_people
    for part in (advising, rethinking, reading, health):
        app.include_router(part.router())
    for router in beside:
        app.include_router(router)
    add_handlers(app)
    # No answer holds a secret beside what its sender chose, so compressing gives nothing away.
    app.add_middleware(GZipMiddleware, minimum_size=COMPRESS_FROM, compresslevel=5)
    app.add_middleware(Outermost, log=log if log is not None else new_log())
    return app
