"""What every page shares: templates, packaged assets, and headers that let nothing foreign in.

Templates escape everything; the only markup that passes is what `markupsafe.Markup` marks, which
only `cds/web/pictures` makes. Assets are served under their own digest, so they may be kept for
ever. No page carries a script or style of its own: the content security policy refuses them.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from functools import cached_property
from importlib.resources import files
from pathlib import PurePosixPath

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
