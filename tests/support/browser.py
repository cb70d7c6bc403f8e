"""The system's browser on the served application: one browser and one server for a whole run.

A visitor opens pages and, when the test ends, fails it for whatever a page complained of: an error
on the console, an uncaught error, a request to another host. No browser is downloaded: where none
is found the tests skip, or fail where `FEATHEREDGE_REQUIRE` promises `browser`.
"""

from __future__ import annotations

import io
import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

import uvicorn

from cds.api.app import create_app
from cds.service.log import new_log
from cds.web.pages import router
from cds.web.problem_page import problem_page
from cds.web.site import Site
from tests.support.optional import BROWSERS
from tests.support.shipped import shipped_service

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request

ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
RULES = ("wcag2a", "wcag2aa", "wcag21aa", "wcag22aa")
"""Groups of accessibility rules that every page keeps."""
TODAY = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)
"""What the served application takes the time to be."""
DESK, PHONE = 1280, 320


def executable(environ: Mapping[str, str] = os.environ) -> str | None:
    """The browser named in `FEATHEREDGE_BROWSER`, else the first that is installed."""
    named = environ.get("FEATHEREDGE_BROWSER")
    return named or next((path for name in BROWSERS if (path := shutil.which(name))), None)


@contextmanager
def served() -> Iterator[str]:
    """The whole application on a free port, with a clock that stands still; yields its address."""
    service = replace(shipped_service(), now=lambda: TODAY)
    site = Site()
    app = create_app(
        service,
        log=new_log("error", io.StringIO()),
        beside=[router(site)],
        for_people=problem_page(site),
    )
    config = uvicorn.Config(app, host="127.0.0.1", port=0, log_config=None, ws="none")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + 20
    while not server.started:
        assert thread.is_alive() and time.monotonic() < until, "the application does not start"
        time.sleep(0.01)
    try:
        yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(timeout=20)


@dataclass
class Visitor:
    """Opens pages of the application; `complaints` is what they did that they must not."""

    browser: Browser
    home: str
    complaints: list[str] = field(default_factory=list)
    contexts: list[BrowserContext] = field(default_factory=list)
    refused: set[str] = field(default_factory=set)

    def open(
        self,
        path: str,
        *,
        width: int = DESK,
        dark: bool = False,
        script: bool = True,
        status: int = 200,
        before: Callable[[Page], object] = lambda page: None,
    ) -> Page:
        """A page in a fresh context, loaded, and answered with this status."""
        context = self.browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme="dark" if dark else "light",
            java_script_enabled=script,
            reduced_motion="reduce",
        )
        self.contexts.append(context)
        page = context.new_page()
        if status >= 400:  # the browser logs the answer itself as an error
            self.refused.add(self.home + path)
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.complaints.append(f"{path}: {error}"))
        page.on("request", self._request)
        before(page)
        answer = page.goto(self.home + path)
        assert answer is not None and answer.status == status
        return page

    def send(self, path: str, fields: Mapping[str, str], **how: Any) -> Page:
        """A page that answers a form with these fields, in a fresh context as in `open`."""
        headers = {"content-type": "application/x-www-form-urlencoded", "accept": "text/html"}
        body = urlencode(fields)
        return self.open(
            path,
            before=lambda page: page.route(
                self.home + path,
                lambda route: route.continue_(method="POST", headers=headers, post_data=body),
            ),
            **how,
        )

    def _console(self, message: ConsoleMessage) -> None:
        if message.type == "error" and message.location.get("url") not in self.refused:
            self.complaints.append(f"console: {message.text}")

    def _request(self, request: Request) -> None:
        if not request.url.startswith((f"{self.home}/", "data:")):
            self.complaints.append(f"a request to another host: {request.url}")

    def close(self) -> None:
        """Close all pages, and fail for what they complained of."""
        for context in self.contexts:
            context.close()
        assert not self.complaints, "\n".join(self.complaints)


def axe(page: Page, only: Sequence[str] = ()) -> None:
    """Fail for any violation of the accessibility rules, or of those named."""
    from axe_playwright_python.sync_playwright import Axe  # noqa: PLC0415 (where there is a browser)

    kind, values = ("rule", only) if only else ("tag", RULES)
    # Without result types every node that passes is handed over too, which takes minutes.
    options: dict[str, Any] = {
        "runOnly": {"type": kind, "values": list(values)},
        "resultTypes": ["violations"],
    }
    found = Axe().run(page, options=options)
    assert not found.violations_count, found.generate_report()


def fits(page: Page) -> None:
    """Fail where the page must be scrolled sideways."""
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0, f"{page.url} is {wide} px wider than the window"


def shoot(page: Page, name: str) -> None:
    """Keep a picture of the page in the folder that `FEATHEREDGE_SHOTS` names, if any."""
    if folder := os.environ.get("FEATHEREDGE_SHOTS"):
        Path(folder).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)
