"""The body of a request: its media type, its size while it arrives, and its bytes as JSON.

Nothing is parsed by the framework: `cds.vocabulary.jsonbytes` refuses what JSON readers disagree
about, and a body over the cap is refused before it was read whole.
"""

from __future__ import annotations

import re

from starlette.requests import Request

from cds.api.errors import NOT_ASSESSED, Refusal, refusal_of
from cds.problems import CaseError, Problem
from cds.vocabulary.jsonbytes import read_json

# RFC 9110 §8.3.1: one type, then parameters; only a charset of UTF-8 changes nothing.
_JSON = re.compile(r'application/json\s*(;\s*charset=("utf-8"|utf-8)\s*)?;?\s*', re.IGNORECASE)


def require_json(request: Request) -> None:
    """Refuse (415) whatever is not declared as plain JSON in UTF-8."""
    given = request.headers.getlist("content-type")
    if len(given) != 1 or not _JSON.fullmatch(given[0].strip()):
        raise Refusal(
            "unsupported-media-type",
            f"Send the body as application/json. {NOT_ASSESSED}",
            headers={"accept-post": "application/json"},
        )
    coding = request.headers.get("content-encoding", "identity").strip().lower()
    if coding not in ("", "identity"):
        raise Refusal(
            "unsupported-media-type",
            f"Send the body without a content coding. {NOT_ASSESSED}",
            headers={"accept-encoding": "identity"},
        )


async def read_body(request: Request, limit: int) -> bytes:
    """The body, at most `limit` bytes; refused (413) as soon as it is known to be longer."""
    declared = request.headers.get("content-length", "")
    # Eighteen digits are beyond any cap, and no work to convert.
    if re.fullmatch(r"[0-9]+", declared) and int(declared[-18:]) > limit:
        raise refusal_of(_too_large(limit))
    found = bytearray()
    async for part in request.stream():
        found += part
        if len(found) > limit:
            raise refusal_of(_too_large(limit))
    return bytes(found)


def _too_large(limit: int) -> CaseError:
    return CaseError([Problem("body-too-large", f"the body is longer than {limit} bytes")])


async def json_body(request: Request, limit: int) -> object:
    """The JSON value of the body. Raises `Refusal` (400, 413, 415)."""
    require_json(request)
    data = await read_body(request, limit)
    try:
        return read_json(data, limit=limit)
    except CaseError as error:
        raise refusal_of(error) from None
