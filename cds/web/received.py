"""The fields of a form as they arrive: their media type, their size, their text."""

from __future__ import annotations

from urllib.parse import parse_qsl

from starlette.requests import Request

from cds.problems import CaseError, Problem
from cds.web.form import typed

FIELDS = 2000
"""More fields than any sheet has."""

FORM_TIMES = 4
"""How much longer a form may be than a JSON body: it carries two cases, each written out for it."""


async def form_fields(request: Request) -> dict[str, str]:
    """The typed fields of a form body. Raises `CaseError` for what is none, or is too long."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/x-www-form-urlencoded":
        raise CaseError(
            [Problem("wrong-form-type", "the page was sent in a form it does not have")]
        )
    limit = FORM_TIMES * int(request.app.state.max_body)
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > limit:
            raise CaseError([Problem("body-too-large", f"the form is longer than {limit} bytes")])
    try:
        pairs = parse_qsl(
            body.decode("utf-8"), keep_blank_values=True, max_num_fields=FIELDS, errors="strict"
        )
    except (UnicodeDecodeError, ValueError):
        message = "the form is not readable text, or has too many fields"
        raise CaseError([Problem("wrong-form", message)]) from None
    return typed(pairs)
