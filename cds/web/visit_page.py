"""The case sheet: `GET /visit` empty, `POST /visit` with what is known, `POST /visit/live`."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import date
from typing import Any

import orjson
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.canon import canonical
from cds.problems import CaseError
from cds.service.wiring import Service
from cds.vocabulary.case import Case
from cds.web.earlier import earlier
from cds.web.form import record_of
from cds.web.live import OPEN, live
from cds.web.received import form_fields
from cds.web.sheet import CONSENT_POINTS, LAST_PARTS, OWN, REASONS, level_rows, parts
from cds.web.site import HEADERS, Site, service_of
from cds.whatif.contact import CONTACT

POSITIONS = {"flexion": "bent forward", "neutral": "in the middle", "extension": "bent back"}
SAID = {
    "patient_unsure": "patient is not sure",
    "declined": "declined",
    "cannot_assess": "cannot be examined",
}
WAYS = {
    "asked": "over: asked today",
    "examined": "over: examined today",
    "imaging": "over: imaging",
    "specialist": "over: a specialist said so",
}
"""The ways in which a positive ends, each one tap."""


def sheet_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """What the template of the sheet needs for what was typed so far, with all that is wrong."""
    today = service.now().date()
    try:
        _, record = record_of(service.decider.vocabulary, fields.get("record", ""))
    except CaseError:
        record = None
    families = service.program.ladder.of_group("hands_on")
    draft = live(service, fields)
    known = earlier(service.decider.vocabulary, record, _day(fields, today))
    asked = parts(service.program)
    sessions = () if record is None else record.course or ()
    return {
        "typed": fields,
        "given": _mark(fields),
        "today": today.isoformat(),
        "parts": asked,
        "levels": level_rows(service.program),
        "positions": POSITIONS,
        "reasons": [(reason.value, SAID[reason.value]) for reason in REASONS],
        "ways": WAYS,
        "known": known,
        "confirmable": {name for name, before in known.items() if before.confirm},
        "sessions": sessions,
        "last_parts": LAST_PARTS,
        "own": OWN,
        "record_read": record is not None,
        "patient": _patient(record),
        "consents": (
            ("hands_on", "hands-on care"),
            *((f.name, f.title.lower()) for f in families if f.name == "thrust"),
        ),
        "consent_points": CONSENT_POINTS,
        "trainings": [(family.name, family.title.lower()) for family in families],
        "training_fields": {f"training.{family.name}" for family in families},
        "open": OPEN,
        "here": "visit",
        **draft,
        "wrong": _by_field(draft),
        "everything": bool(draft["problems"]),
    }


def _patient(record: Case | None) -> str:
    """Case number, age and sex as the record has them, in words; empty where it does not."""
    if record is None:
        return ""
    low, high = record.age_low, record.age_high
    age = "" if low is None else f"age {low}" if low == high else f"age {low} to {high}"
    case = f"case {record.subject}" if record.subject else ""
    return ", ".join(part for part in (case, age, record.sex or "") if part)


def _mark(fields: Mapping[str, str]) -> str:
    """A mark of what the page was given, so that the browser knows its own visit again."""
    if not fields:
        return ""
    return hashlib.sha256(canonical(dict(fields))).hexdigest()[:16]


def _day(fields: Mapping[str, str], today: date) -> date:
    """The day of the visit as typed; today where it is none."""
    try:
        return date.fromisoformat(fields.get("as_of", ""))
    except ValueError:
        return today


def _by_field(draft: Mapping[str, Any]) -> dict[str, str]:
    """All that is wrong with each field, in one line."""
    found: dict[str, list[str]] = {}
    for problem in draft["problems"]:
        found.setdefault(problem.field, []).append(problem.text)
    return {name: "; ".join(texts) for name, texts in found.items() if name}


def routes(site: Site) -> APIRouter:
    """The routes of the case sheet."""
    found = APIRouter(redirect_slashes=False)

    async def empty(request: Request) -> Response:
        service = service_of(request)
        if service is None:
            return site.page("start.html", None, status=503, here="visit")
        today = {"as_of": service.now().date().isoformat()}
        context = {**sheet_context(service, today), "given": ""}
        return site.page("sheet.html", service, **context)

    async def filled(request: Request) -> Response:
        service = service_of(request)
        if service is None:
            return site.page("start.html", None, status=503, here="visit")
        fields = await form_fields(request)
        fields["as_of"] = fields.get("as_of") or service.now().date().isoformat()
        if fields.get("moment") == CONTACT:
            # who stands before the therapist is seen, and owes what a visit owes
            del fields["moment"]
        return site.page("sheet.html", service, **sheet_context(service, fields))

    async def draft(request: Request) -> Response:
        service = service_of(request)
        if service is None:
            return Response("{}", 503, media_type="application/json")
        found = live(service, await form_fields(request))
        body = {
            "html": site.fragment("live.html", **found),
            "headline": "" if found["advice"] is None else found["advice"]["headline"]["text"],
            "states": found["states"],
            "wrong": _by_field(found),
        }
        headers = {**HEADERS, "cache-control": "no-store"}
        return Response(orjson.dumps(body), 200, headers, "application/json")

    add = found.add_api_route
    add("/visit", empty, methods=["GET", "HEAD"], include_in_schema=False)
    add("/visit", filled, methods=["POST"], include_in_schema=False)
    add("/visit/live", draft, methods=["POST"], include_in_schema=False)
    return found
