"""What every page shares: templates, packaged assets, and headers that let nothing foreign in.

Templates escape everything; the only markup that passes is what is marked as such, which only
`cds/web/pictures` and the renderers of the report make. Assets are served under their own digest,
so they may be kept for ever. No page carries a script or style of its own: the content security
policy refuses them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from importlib.resources import files
from pathlib import PurePosixPath
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import Response

from cds import __version__
from cds.service.wiring import Service
from cds.web.words import FILTERS

POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "script-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""Content security policy of every page: this service alone, no inline script, no frame."""

HEADERS = {
    "content-security-policy": POLICY,
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
"""Headers of every page beside its caching."""

KINDS = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}


@dataclass(frozen=True, slots=True)
class Asset:
    """A packaged file: its bytes, media type, and the address that names its content."""

    name: str
    body: bytes
    media_type: str
    address: str


def _assets() -> dict[str, Asset]:
    found: dict[str, Asset] = {}
    for entry in sorted(files(__package__).joinpath("static").iterdir(), key=lambda e: e.name):
        kind = KINDS.get(PurePosixPath(entry.name).suffix)
        if kind is None:
            continue
        body = entry.read_bytes()
        stem, suffix = entry.name.rsplit(".", 1)
        address = f"{stem}.{hashlib.sha256(body).hexdigest()[:12]}.{suffix}"
        found[address] = Asset(entry.name, body, kind, f"/assets/{address}")
    return found


def _texts() -> Iterable[str]:
    """The sources of the templates."""
    folder = files(__package__).joinpath("templates")
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        yield entry.read_text(encoding="utf-8")


@dataclass(frozen=True)
class Site:
    """Templates and assets of the pages; holds nothing of a case."""

    assets: dict[str, Asset] = field(default_factory=_assets)

    @cached_property
    def templates(self) -> Environment:
        """The templates, strict: a name that is not given is an error, never an empty place."""
        environment = Environment(
            loader=PackageLoader("cds.web"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        environment.filters.update(FILTERS)
        by_name = {asset.name: asset.address for asset in self.assets.values()}
        environment.globals["asset"] = by_name.__getitem__
        environment.globals["version"] = __version__
        return environment

    def page(
        self,
        template: str,
        service: Service | None,
        *,
        status: int = 200,
        about_a_patient: bool = True,
        **context: object,
    ) -> Response:
        """One page. `about_a_patient`: nobody may store it."""
        book = None if service is None else service.program
        text = self.templates.get_template(template).render(book=book, **context)
        return Response(
            text,
            status,
            {**HEADERS, "cache-control": "no-store" if about_a_patient else "no-cache"},
            "text/html; charset=utf-8",
        )

    @cached_property
    def digest(self) -> str:
        """Changes with everything here that a page is made of."""
        parts = (__version__, *sorted(self.assets), *_texts())
        return hashlib.sha256("\0".join(parts).encode()).hexdigest()

    def kept(
        self,
        request: Request,
        template: str,
        service: Service,
        context: Callable[[], Mapping[str, Any]],
        *,
        changes_with: Iterable[str] = (),
    ) -> Response:
        """A page that only the edition changes, this program, and `changes_with` (the day, say).

        Those who have it are told so (304), and nothing is worked out for them.
        """
        parts = "\0".join((self.digest, service.digest, *changes_with))
        tag = f'"{hashlib.sha256(parts.encode()).hexdigest()[:32]}"'
        had = ",".join(request.headers.getlist("if-none-match")).split(",")
        if {tag, "*"} & {part.strip().removeprefix("W/") for part in had}:
            return Response(status_code=304, headers={"etag": tag, "cache-control": "no-cache"})
        answer = self.page(template, service, about_a_patient=False, **context())
        answer.headers["etag"] = tag
        return answer

    def unready(self) -> Response:
        """The page while there is no rule book."""
        return self.page("start.html", None, status=503, here="")

    def fragment(self, template: str, **context: object) -> str:
        """A piece of a page, as text."""
        return self.templates.get_template(template).render(**context)

    def asset(self, address: str) -> Response:
        """A packaged file under its own digest; 404 for any other address."""
        found = self.assets.get(address)
        if found is None:
            return Response("Not here.\n", 404, HEADERS, "text/plain; charset=utf-8")
        headers = {**HEADERS, "cache-control": "public, max-age=31536000, immutable"}
        return Response(found.body, 200, headers, f"{found.media_type}; charset=utf-8")


def service_of(request: Request) -> Service | None:
    """The service behind the application; None while there is none."""
    service = request.app.state.service
    return service if isinstance(service, Service) else None
