"""The rule book pages: search, one page for each rule, finding, card, exercise and source, and the
parts that are read whole. All of them are read only, without script, at addresses that stay.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from difflib import get_close_matches
from functools import cache
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.assure.exercised import Exercised, exercised, fixtures_folder
from cds.assure.report.html import join
from cds.service.wiring import Service
from cds.web.rulebook import Shelf
from cds.web.rulebook_search import WrongSearch, read, results
from cds.web.rulebook_things import (
    PARTS,
    card_context,
    exercise_context,
    finding_context,
    here,
    rule_context,
    source_context,
)
from cds.web.site import Site, service_of

Context = Callable[[Shelf, str], dict[str, Any]]
NEAR = 3
"""So many names at most are offered for one that is not there."""


@cache
def installed() -> Mapping[str, tuple[Exercised, ...]] | None:
    """The fixtures of this installation by rule, read once; None where it has none."""
    folder = fixtures_folder()
    return None if folder is None else exercised(folder)


class Pages:
    """The rule book pages on one site. Keeps the words of the edition it served last."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self._shelf: Shelf | None = None

    def shelf(self, service: Service) -> Shelf:
        """The book of the service's edition."""
        kept = self._shelf
        if kept is None or kept.program is not service.program:
            kept = self._shelf = Shelf(service.program, installed())
        return kept

    async def contents(self, request: Request) -> Response:
        """All rules, or those asked for."""
        service = service_of(request)
        if service is None:
            return self.site.unready()
        today, shelf = service.now().date(), self.shelf(service)
        try:
            asked = read(shelf, request.query_params.multi_items(), today)
        except WrongSearch as error:
            return self.site.page(
                "problem.html",
                service,
                status=400,
                about_a_patient=False,
                here="rulebook",
                title="The rule book cannot be searched for that",
                detail="Nothing was searched.",
                problems=[{"text": problem.message, "where": ""} for problem in error.problems],
                onward=[("/rulebook", "The whole rule book")],
            )
        parts = [(f"/rulebook/{name}", title, about) for name, (title, about, _) in PARTS.items()]
        return self.site.kept(
            request,
            "rulebook.html",
            service,
            lambda: {**results(shelf, asked, today), "parts": parts, **here(("Rule book", ""))},
            changes_with=(today.isoformat(),),
        )

    async def part(self, request: Request) -> Response:
        """One part of the book, whole."""
        name = request.path_params["part"]
        if name not in PARTS:
            return self._missing(request, "part", PARTS)
        title, about, show = PARTS[name]
        return self._kept(
            request,
            "rulebook_part.html",
            lambda shelf: {
                "part": name,
                "title": title,
                "about": about,
                "shown": join([show(shelf)]),
                **here((title, "")),
            },
        )

    async def thing(self, request: Request) -> Response:
        """One rule, finding, card, exercise or source."""
        service = service_of(request)
        if service is None:
            return self.site.unready()
        kind, name = request.path_params["kind"], request.path_params["name"]
        program = service.program
        today = service.now().date()
        groups: dict[str, tuple[Iterable[str], Context]] = {
            "rules": (program.rules, lambda shelf, name: rule_context(shelf, name, today)),
            "findings": ({**program.findings, **program.features}, finding_context),
            "cards": (program.cards, card_context),
            "exercises": (program.exercises, exercise_context),
            "sources": (program.sources, source_context),
        }
        if kind not in groups:
            return self._missing(request, "part", PARTS)
        known, show = groups[kind]
        if name not in known:
            return self._missing(request, kind, known)
        template = "rulebook_rule.html" if kind == "rules" else "rulebook_thing.html"
        changes_with = (today.isoformat(),) if kind == "rules" else ()
        return self._kept(request, template, lambda shelf: show(shelf, name), changes_with)

    def _kept(
        self,
        request: Request,
        template: str,
        context: Callable[[Shelf], dict[str, Any]],
        changes_with: tuple[str, ...] = (),
    ) -> Response:
        service = service_of(request)
        if service is None:
            return self.site.unready()
        shelf = self.shelf(service)
        return self.site.kept(
            request, template, service, lambda: context(shelf), changes_with=changes_with
        )

    def _missing(self, request: Request, kind: str, known: Iterable[str]) -> Response:
        """No such thing: 404, with names that are nearly the one asked for."""
        service = service_of(request)
        if service is None:
            return self.site.unready()
        asked = request.path_params.get("name") or request.path_params.get("part", "")
        near = get_close_matches(asked, list(known), NEAR, 0.6)
        base = "/rulebook" if kind == "part" else f"/rulebook/{kind}"
        return self.site.page(
            "problem.html",
            service,
            status=404,
            about_a_patient=False,
            here="rulebook",
            title="Not in this edition of the rule book",
            detail=f"There is no such {'part' if kind == 'part' else kind.removesuffix('s')} here. "
            "It may have been renamed or taken out since the link was made.",
            problems=[],
            onward=[
                *((f"{base}/{name}", f"Perhaps: {name}") for name in near),
                ("/rulebook", "The whole rule book"),
            ],
        )


def routes(site: Site) -> APIRouter:
    """The routes of the rule book pages."""
    pages = Pages(site)
    found = APIRouter(redirect_slashes=False)
    for path, page in (
        ("/rulebook", pages.contents),
        ("/rulebook/{part}", pages.part),
        ("/rulebook/{kind}/{name}", pages.thing),
    ):
        found.add_api_route(path, page, methods=["GET", "HEAD"], include_in_schema=False)
    return found
