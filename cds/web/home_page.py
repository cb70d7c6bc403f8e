"""The sheet that the patient takes home: `POST /home-sheet`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.service.wiring import Service
from cds.web.carry import about_case, case_typed
from cds.web.paper import Part, laid
from cds.web.site import Site

KINDS = {"Where to go": "go", "Get help at once": "now", "Call us": "ring", "Good to know": "know"}
"""What a heading begins. `BELOW` and sections without a heading stand below the one before."""

EXERCISE = "Exercise "
BELOW = ("How much", "Stop if")

WIDE, CLOSE = 2_600, 4_900
"""Letters below which a sheet is set larger, and above which it is set closer."""


@dataclass(frozen=True, slots=True)
class Group:
    """Sections that belong together: what to do now, whom to call, one exercise."""

    kind: str
    parts: tuple[Part, ...]


def grouped(parts: Iterable[Part]) -> tuple[Group, ...]:
    """The sections in their order, each group with what stands below its heading."""
    found: list[tuple[str, list[Part]]] = []
    for part in parts:
        kind = "exercise" if part.heading.startswith(EXERCISE) else KINDS.get(part.heading, "")
        if not kind and any(piece.blank for line in part.lines for piece in line):
            kind = "end"
        if kind or not found:
            found.append((kind or "know", [part]))
        else:
            found[-1][1].append(part)
    return tuple(Group(kind, tuple(inside)) for kind, inside in found)


def room(letters: int) -> str:
    """How large the sheet is set, so that as much as can be stands on one page of paper."""
    return "wide" if letters < WIDE else "close" if letters > CLOSE else "middle"


def home_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """The sheet as it is laid out. Raises `CaseError`."""
    found = service.home_sheet({"case": case_typed(service, fields)})
    paper = laid(found["paper"])
    return {
        "title": paper.title,
        "groups": grouped(paper.sections),
        "room": room(len(found["text"])),
    }


def routes(site: Site) -> APIRouter:
    """The route of the home sheet."""
    found = APIRouter(redirect_slashes=False)

    async def written(request: Request) -> Response:
        return await about_case(site, request, "home_sheet.html", home_context)

    found.add_api_route("/home-sheet", written, methods=["POST"], include_in_schema=False)
    return found
