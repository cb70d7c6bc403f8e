"""What the answers would change: `POST /questions`, each open question with what each answer does.

Everything here is found by deciding the case again with that answer. Six questions are tried at
first, because one waits for it; a button tries them all.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.service.rethinking import AT_MOST
from cds.service.wiring import Service
from cds.web.carry import PAGE, about_case, case_typed
from cds.web.site import Site

FEW = 6
ALL = f"{PAGE}all"
"""The field that asks for every question."""


def questions_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """Questions with their answers' effects, a set that would settle, and what no answer changes.

    Raises `CaseError`.
    """
    limit = AT_MOST if fields.get(ALL) else FEW
    found = service.questions({"case": case_typed(service, fields), "limit": limit})
    unmoved = found["unmoved"]
    titles = {rung.name: rung.title for rung in service.program.ladder.rungs}
    shut: dict[str, dict[str, list[str]]] = {}
    for entry in unmoved["shut"]:
        reasons = shut.setdefault(entry["level"], {}).setdefault(titles[entry["rung"]], [])
        if entry["text"] not in reasons:
            reasons.append(entry["text"])
    return {
        "questions": found["questions"],
        "settle": found["settle"],
        "unmoved": unmoved,
        "shut": shut,
        "more": limit == FEW and len(found["questions"]) == FEW,
        "all": ALL,
    }


def routes(site: Site) -> APIRouter:
    """The route of the page."""
    found = APIRouter(redirect_slashes=False)

    async def asked(request: Request) -> Response:
        return await about_case(site, request, "questions.html", questions_context)

    found.add_api_route("/questions", asked, methods=["POST"], include_in_schema=False)
    return found
