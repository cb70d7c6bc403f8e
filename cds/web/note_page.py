"""The note for the record: `POST /note`, text to copy into another system, and to print."""

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


def note_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """The note as text and as Markdown, and laid out for paper. Raises `CaseError`."""
    case = case_typed(service, fields)
    text = service.note({"case": case, "format": "text"})
    markdown = service.note({"case": case, "format": "markdown"})
    return {
        "paper": laid(text["paper"]),
        "forms": [
            ("text", "Plain text", text["text"]),
            ("markdown", "Markdown", markdown["text"]),
        ],
    }


def routes(site: Site) -> APIRouter:
    """The route of the note."""
    found = APIRouter(redirect_slashes=False)

    async def written(request: Request) -> Response:
        return await about_case(site, request, "note.html", note_context)

    found.add_api_route("/note", written, methods=["POST"], include_in_schema=False)
    return found
