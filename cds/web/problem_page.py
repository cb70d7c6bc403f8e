"""What went wrong, as a page for people: the same as the JSON door says, in the frame of the site.

`problem_page` is what the application asks for when a person's browser, not a program, is answered.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from cds.web.site import Site, service_of

TITLES = {
    404: "There is no such page",
    405: "This page cannot be used that way",
    413: "That was too much at once",
    415: "The page was sent in a form it does not have",
    500: "The service failed",
    503: "Not ready yet",
}
"""Status -> what a person is told. Others keep the title of the problem."""


def problem_page(site: Site) -> Callable[[Request, Mapping[str, Any]], Response]:
    """Makes a page of problem details."""

    def show(request: Request, problem: Mapping[str, Any]) -> Response:
        status = int(problem["status"])
        items = [
            {
                "text": item["message"],
                "where": item.get("pointer") or item.get("parameter") or "",
                "help": item.get("help", ""),
            }
            for item in problem["problems"]
        ]
        return site.page(
            "problem.html",
            service_of(request),
            status=status,
            here="",
            title=TITLES.get(status, str(problem["title"])),
            detail=str(problem["detail"]),
            problems=items,
            onward=[("/", "To the start"), ("/rulebook", "The rule book")],
            request_id=str(problem["request_id"]),
        )

    return show
