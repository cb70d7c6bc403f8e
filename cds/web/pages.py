"""Which page stands at which address. Every page is made from the same use cases as the JSON door.

No address carries anything of a patient: what is about a case is sent in the body of a POST, and
nobody may store the answer.
"""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.web import (
    advice_page,
    call_page,
    close_page,
    during_page,
    home_page,
    letter_page,
    note_page,
    questions_page,
    rulebook_page,
    visit_page,
)
from cds.web.site import Site, service_of

PAGES = (
    visit_page,
    advice_page,
    questions_page,
    during_page,
    letter_page,
    home_page,
    note_page,
    close_page,
    call_page,
    rulebook_page,
)
"""Modules of pages, each with its `routes`."""


def router(site: Site | None = None) -> APIRouter:
    """The routes of all pages, on the templates and assets of `site`."""
    shared = Site() if site is None else site
    found = APIRouter(redirect_slashes=False)

    async def start(request: Request) -> Response:
        return shared.page("start.html", service_of(request), about_a_patient=False, here="start")

    async def asset(request: Request) -> Response:
        return shared.asset(request.path_params["address"])

    found.add_api_route("/", start, methods=["GET", "HEAD"], include_in_schema=False)
    found.add_api_route(
        "/assets/{address}", asset, methods=["GET", "HEAD"], include_in_schema=False
    )
    for page in PAGES:
        found.include_router(page.routes(shared))
    return found
