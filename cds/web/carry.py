"""What was typed of a visit, carried hidden from page to page, so that each next page is a button.

A page about a case gets the fields of the case sheet and sends the same ones on, unchanged, through
the macros of `carry.html`. Fields of a page's own begin with `page.` and end with it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import orjson
from starlette.requests import Request
from starlette.responses import Response

from cds.problems import CaseError
from cds.service.wiring import Service
from cds.web.form import case_of, known_levels
from cds.web.live import wrong
from cds.web.received import form_fields
from cds.web.site import Site, service_of

PAGE = "page."
"""How the fields of a page's own begin: what is typed on it is not part of the sheet."""

Make = Callable[[Service, Mapping[str, str]], Mapping[str, Any]]


def carried(fields: Mapping[str, str]) -> dict[str, str]:
    """The fields that go on to the next page: all of the sheet that say something."""
    return {name: text for name, text in fields.items() if text and not name.startswith(PAGE)}


def case_typed(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """The case that the sheet's fields make. Raises `CaseError` where the record is none."""
    return case_of(service.program, service.decider.vocabulary, carried(fields))


def record_typed(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """The case as what a later page may take in as a record: levels known stay known in it.

    Without the word that all levels were palpated the case has no levels, so that no path is
    worked out; what is known of them must not end with it. Raises `CaseError`.
    """
    sheet = carried(fields)
    case = case_typed(service, sheet)
    levels = known_levels(service.program, service.decider.vocabulary, sheet)
    return case if "segments" in case or not levels else {**case, "segments": levels}


def case_text(case: Mapping[str, Any]) -> str:
    """A case as the text of a hidden field: the same case gives the same text.

    Not `canonical`, which holds no fractions; here the shortest text of a float is its decimal.
    """
    return orjson.dumps(case, option=orjson.OPT_SORT_KEYS).decode()


async def about_case(site: Site, request: Request, template: str, make: Make) -> Response:
    """A page about the case that was typed: `make` gives what its template needs.

    What is wrong with the case is shown on a page that carries it back to the sheet, so that
    nothing typed is lost. A form that cannot be read raises `CaseError`.
    """
    service = service_of(request)
    if service is None:
        return site.page("start.html", None, status=503, here="visit")
    fields = await form_fields(request)
    own: dict[str, Any] = {"fields": carried(fields), "here": "visit"}
    try:
        context = make(service, fields)
    except CaseError as error:
        return site.page("mend.html", service, status=422, wrong=wrong(error.problems), **own)
    return site.page(template, service, **{**own, **context})
