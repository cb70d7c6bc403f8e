"""The case sheet: `GET /visit` empty, `POST /visit` with what is known, `POST /visit/live`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.problems import CaseError
from cds.service.wiring import Service
from cds.vocabulary.case import Answer, Case
from cds.web.form import record_of
from cds.web.live import live
from cds.web.received import form_fields
from cds.web.sheet import REASONS, level_rows, parts
from cds.web.site import HEADERS, Site, service_of

POSITIONS = {"flexion": "bent forward", "neutral": "in the middle", "extension": "bent back"}
SAID = {
    "patient_unsure": "patient is not sure",
    "declined": "declined",
    "cannot_assess": "cannot be examined",
}
CONSENT_POINTS = (
    ("capacity", "The patient can decide this"),
    ("risks_given", "Risks were said"),
    ("alternative_given", "The alternative was said"),
)


def latest(case: Case | None) -> dict[str, Answer]:
    """The latest known answer to each finding of the whole case."""
    found: dict[str, Answer] = {}
    for name, answers in () if case is None else case.answers.items():
        known = [answer for answer in answers if answer.value is not None]
        if known:
            found[name] = max(known, key=lambda answer: answer.observed)
    return found


def sheet_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """What the template of the sheet needs for what was typed so far."""
    try:
        _, record = record_of(service.decider.vocabulary, fields.get("record", ""))
    except CaseError:
        record = None
    families = service.program.ladder.of_group("hands_on")
    known = {
        name: {"value": answer.raw, "observed": answer.observed}
        for name, answer in latest(record).items()
    }
    return {
        "typed": fields,
        "today": service.now().date().isoformat(),
        "parts": parts(service.program),
        "levels": level_rows(service.program),
        "positions": POSITIONS,
        "reasons": [(reason.value, SAID[reason.value]) for reason in REASONS],
        "known": known,
        "sessions": () if record is None else record.course or (),
        "consents": (
            ("hands_on", "hands-on care"),
            *((f.name, f.title.lower()) for f in families if f.name == "thrust"),
        ),
        "consent_points": CONSENT_POINTS,
        "trainings": [(family.name, family.title.lower()) for family in families],
        "live": "",
        "here": "visit",
    }


def routes(site: Site) -> APIRouter:
    """The routes of the case sheet."""
    found = APIRouter(redirect_slashes=False)

    async def empty(request: Request) -> Response:
        service = service_of(request)
        if service is None:
            return site.page("start.html", None, status=503, here="visit")
        return site.page("sheet.html", service, **sheet_context(service, {}))

    async def filled(request: Request) -> Response:
        service = service_of(request)
        if service is None:
            return site.page("start.html", None, status=503, here="visit")
        fields = await form_fields(request)
        return site.page("sheet.html", service, **sheet_context(service, fields))

    async def draft(request: Request) -> Response:
        service = service_of(request)
        if service is None:
            return Response("{}", 503, media_type="application/json")
        found = live(service, await form_fields(request))
        body = {"html": site.fragment("live.html", **found), "states": found["states"]}
        headers = {**HEADERS, "cache-control": "no-store"}
        return Response(orjson.dumps(body), 200, headers, "application/json")

    add = found.add_api_route
    add("/visit", empty, methods=["GET", "HEAD"], include_in_schema=False)
    add("/visit", filled, methods=["POST"], include_in_schema=False)
    add("/visit/live", draft, methods=["POST"], include_in_schema=False)
    return found
