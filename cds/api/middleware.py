"""The outermost layer: an id and one log line for each request, and the last net below all errors.

A server prints the traceback of what reaches it, values of the case included. So nothing does: an
exception is logged as its type and place, answered as a problem, and never raised again.
"""

from __future__ import annotations

import re
from time import perf_counter
from uuid import uuid4

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from cds.api.errors import TYPES, answer, respond
from cds.service.log import Log, place_of
from cds.service.wiring import Service

REQUEST_ID = "x-request-id"

# Only what cannot be a name or a number of a person is taken over into the log.
_UUID = re.compile(r"[0-9a-f]{8}-?([0-9a-f]{4}-?){3}[0-9a-f]{12}", re.IGNORECASE)
_METHODS = frozenset(
    ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT")
)


class Outermost:
    """Wraps the application. Calls of other kinds than HTTP (start and stop) are passed on."""

    def __init__(self, app: ASGIApp, log: Log) -> None:
        self.app = app
        self.log = log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            # There is no other kind of connection here; closing refuses the handshake.
            await send({"type": "websocket.close", "code": 1000})
            return
        request_id = _request_id(scope)
        scope.setdefault("state", {})["request_id"] = request_id
        begun, status = perf_counter(), 0
        headless = scope["method"] == "HEAD"

        async def seen(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                headers = MutableHeaders(scope=message)
                headers[REQUEST_ID] = request_id
                headers["x-content-type-options"] = "nosniff"
            elif headless and message["type"] == "http.response.body":
                message = {**message, "body": b""}
            await send(message)

        try:
            await self.app(scope, receive, seen)
        except ClientDisconnect:
            self.log.info("client_left", request_id=request_id)
        except Exception as error:  # the last net: nothing may pass
            self._failed(scope, request_id, error)
            if not status:
                await _last(scope, request_id)(scope, receive, seen)
        self.log.info(
            "request",
            request_id=request_id,
            edition=_edition(scope),
            method=_method(scope),
            route=_route(scope),
            status=status,
            ms=round((perf_counter() - begun) * 1000, 1),
        )

    def _failed(self, scope: Scope, request_id: str, error: Exception) -> None:
        self.log.error(
            "failed",
            request_id=request_id,
            edition=_edition(scope),
            method=_method(scope),
            route=_route(scope),
            error=type(error).__name__,
            at=place_of(error),
        )


def _last(scope: Scope, request_id: str) -> Response:
    """The answer when all else failed; making a page of it may fail too."""
    kind = TYPES["internal"]
    try:
        return respond(Request(scope), kind, kind.about)
    except Exception:
        return answer(kind, kind.about, request_id)


def _request_id(scope: Scope) -> str:
    sent = Headers(scope=scope).get(REQUEST_ID, "")
    return sent.lower() if _UUID.fullmatch(sent) else str(uuid4())


def _method(scope: Scope) -> str:
    return scope["method"] if scope["method"] in _METHODS else "other"


def _route(scope: Scope) -> str:
    """The route's template. A path as sent could hold anything."""
    route = scope.get("route")
    return str(getattr(route, "path", "unmatched"))


def _edition(scope: Scope) -> str:
    app = scope.get("app")
    service = getattr(getattr(app, "state", None), "service", None)
    return service.digest if isinstance(service, Service) else "none"
