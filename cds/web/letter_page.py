"""Referral letters: `POST /letter`, one page of paper for each referral of the advice."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.service.wiring import Service
from cds.web.carry import about_case, case_typed
from cds.web.paper import laid
from cds.web.site import Site


def letter_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """The letters, the most urgent first. Raises `CaseError`."""
    found = service.letters({"case": case_typed(service, fields)})
    return {
        "letters": [
            {"held": letter["held"], "urgency": letter["urgency"], "paper": laid(letter["paper"])}
            for letter in found["letters"]
        ]
    }


def routes(site: Site) -> APIRouter:
    """The route of the letters."""
    found = APIRouter(redirect_slashes=False)

    async def written(request: Request) -> Response:
        return await about_case(site, request, "letter.html", letter_context)

    found.add_api_route("/letter", written, methods=["POST"], include_in_schema=False)
    return found
