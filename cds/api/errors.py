"""Every error as one shape: problem details (RFC 9457) with our own `problems` and `request_id`.

A type is a relative reference, `/problems/NAME`, and can be read there. Whatever goes wrong about a
case, the answer says that nothing was assessed: an error never reads as "no concern".

A person's browser gets the same as a page, where the application was given one (`for_people`); the
routes for programs answer JSON to everybody.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import NotRequired, TypedDict, cast

import orjson
from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from cds.problems import CaseError, Problem
from cds.vocabulary.codes import JSON_CODES

PROBLEM_JSON = "application/problem+json"
NOT_ASSESSED = "Nothing was assessed."
FOR_PROGRAMS = ("/v1/", "/problems/", "/health/", "/openapi.json")
"""Beginnings of paths that answer JSON whoever asks."""


class ProblemItem(TypedDict):
    """One thing wrong. `pointer` (RFC 6901) leads into the body, `parameter` names a query
    parameter; neither where no place can be named. `message` never repeats a recorded value.
    """

    code: str
    pointer: NotRequired[str]
    parameter: NotRequired[str]
    message: str
    help: NotRequired[str]


class ProblemDetails(TypedDict):
    """What every error looks like."""

    type: str
    title: str
    status: int
    detail: str
    problems: list[ProblemItem]
    request_id: str


@dataclass(frozen=True, slots=True)
class ProblemType:
    """One kind of error: its status, its title, and what a client should know about it."""

    name: str
    status: int
    title: str
    about: str

    @property
    def uri(self) -> str:
        """The type as a relative reference."""
        return f"/problems/{self.name}"


TYPES = {
    kind.name: kind
    for kind in (
        ProblemType(
            "bad-request", 400, "Request refused",
            "The request itself is malformed: a query parameter, for example.",
        ),
        ProblemType(
            "bad-json", 400, "Body is not acceptable JSON",
            "The body is not JSON in UTF-8, or holds what readers of JSON disagree about: "
            "duplicate keys, numbers that are not finite or too large, half surrogate pairs, deep "
            "nesting.",
        ),
        ProblemType(
            "not-found", 404, "Not found", "No such route, or nothing of that name in this edition."
        ),
        ProblemType(
            "method-not-allowed", 405, "Method not allowed",
            "The route exists; the header Allow names its methods.",
        ),
        ProblemType(
            "body-too-large", 413, "Body too large",
            "The body is longer than the service accepts (256 KiB unless configured otherwise).",
        ),
        ProblemType(
            "unsupported-media-type", 415, "Unsupported media type",
            "Send application/json in UTF-8, without a content coding.",
        ),
        ProblemType(
            "case-refused", 422, "Case refused",
            "At least one value of the request is wrong. All problems found are listed; what was "
            "meant is not guessed, so the case is refused whole.",
        ),
        ProblemType(
            "internal", 500, "Error in the service",
            "The service failed. Nothing was assessed: treat it as no answer at all.",
        ),
        ProblemType(
            "not-ready", 503, "Not ready", "The rule book is not loaded yet, or did not load."
        ),
    )
}  # fmt: skip

_BY_STATUS = {
    400: "bad-request",
    404: "not-found",
    405: "method-not-allowed",
    413: "body-too-large",
    415: "unsupported-media-type",
    422: "bad-request",
    503: "not-ready",
}


class Refusal(HTTPException):
    """An error that a route means. A starlette exception, since the framework turns any other one
    that is raised while it reads a request into a bare 400.
    """

    def __init__(
        self,
        name: str,
        detail: str,
        problems: Iterable[ProblemItem] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.kind = TYPES[name]
        self.problems = list(problems)
        super().__init__(self.kind.status, detail, headers=headers)


def refusal_of(error: CaseError) -> Refusal:
    """The refusal for what was wrong with a body: not JSON, too large, or a wrong case."""
    items = [_item(problem) for problem in error.problems]
    codes = {problem.code for problem in error.problems}
    found = "one problem was" if len(items) == 1 else f"{len(items)} problems were"
    if "wrong-form-type" in codes:
        return Refusal(
            "unsupported-media-type", f"{found.capitalize()} found. {NOT_ASSESSED}", items
        )
    if "wrong-form" in codes:
        return Refusal("bad-request", f"{found.capitalize()} found. {NOT_ASSESSED}", items)
    if "body-too-large" in codes:
        return Refusal("body-too-large", f"The body is too large. {NOT_ASSESSED}", items)
    if codes <= JSON_CODES.keys():
        return Refusal("bad-json", f"{found.capitalize()} found in the JSON. {NOT_ASSESSED}", items)
    return Refusal("case-refused", f"{found.capitalize()} found. {NOT_ASSESSED}", items)


def _item(problem: Problem) -> ProblemItem:
    found: ProblemItem = {"code": problem.code, "message": problem.message}
    if problem.pointer is not None:
        found["pointer"] = problem.pointer
    if problem.help is not None:
        found["help"] = problem.help
    return found


def answer(
    kind: ProblemType,
    detail: str,
    request_id: str,
    problems: Iterable[ProblemItem] = (),
    headers: Mapping[str, str] | None = None,
) -> Response:
    """The answer for one error, as JSON."""
    return _json(details(kind, detail, request_id, problems), headers)


def details(
    kind: ProblemType, detail: str, request_id: str, problems: Iterable[ProblemItem] = ()
) -> ProblemDetails:
    """What the answer for one error says."""
    return {
        "type": kind.uri,
        "title": kind.title,
        "status": kind.status,
        "detail": detail,
        "problems": list(problems),
        "request_id": request_id,
    }


def _json(body: ProblemDetails, headers: Mapping[str, str] | None) -> Response:
    return Response(
        orjson.dumps(body),
        body["status"],
        {**(headers or {}), "cache-control": "no-store"},
        PROBLEM_JSON,
    )


ForPeople = Callable[[Request, Mapping[str, object]], Response]
"""Makes a page of problem details."""


def respond(
    request: Request,
    kind: ProblemType,
    detail: str,
    problems: Iterable[ProblemItem] = (),
    headers: Mapping[str, str] | None = None,
) -> Response:
    """The answer for one error to whoever asked: a page for people, JSON for programs."""
    found = details(kind, detail, request_id_of(request), problems)
    show: ForPeople | None = getattr(request.app.state, "for_people", None)
    if show is None or not _is_person(request):
        return _json(found, headers)
    page = show(request, cast("Mapping[str, object]", found))
    page.headers.update(headers or {})
    page.headers["cache-control"] = "no-store"
    page.headers["vary"] = "accept"
    return page


def _is_person(request: Request) -> bool:
    wants = ",".join(request.headers.getlist("accept")).lower()
    return "text/html" in wants and not request.url.path.startswith(FOR_PROGRAMS)


def request_id_of(request: Request) -> str:
    """The id that the middleware gave this request."""
    return str(request.scope.get("state", {}).get("request_id", ""))


async def _refused(request: Request, error: Exception) -> Response:
    if isinstance(error, Refusal):
        return respond(request, error.kind, str(error.detail), error.problems, error.headers)
    if isinstance(error, HTTPException):
        # Raised by the framework (routing, above all): its own words are not passed on.
        kind = TYPES[_BY_STATUS.get(error.status_code, "bad-request")]
        return respond(request, kind, kind.about, headers=error.headers)
    if isinstance(error, CaseError):
        return await _refused(request, refusal_of(error))
    kind = TYPES["bad-request"]
    return respond(request, kind, kind.about)


def add_handlers(app: FastAPI) -> None:
    """Answer the framework's exceptions and ours in the one shape."""
    app.add_exception_handler(HTTPException, _refused)
    app.add_exception_handler(RequestValidationError, _refused)
    app.add_exception_handler(CaseError, _refused)
