"""The use case "advise": a request's body in, the advice in its envelope out.

The envelope says which answer this is (id), when it was given (the service's clock, UTC) and
whether it was only a draft. The advice inside depends on program and case alone.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TypedDict
from uuid import UUID

from cds.decide import Decider
from cds.explain.compact import compact
from cds.service.request import CASE, DRAFT, read_request
from cds.vocabulary.advice import Advice

KEYS = (CASE, DRAFT)


class AdviceEnvelope(TypedDict):
    """One answer: its id (UUID), the time it was made (UTC, RFC 3339), `given` or `draft`, and the
    advice.
    """

    id: str
    time: str
    kind: str
    advice: Advice


def advise(
    decider: Decider,
    body: object,
    *,
    full: bool,
    now: Callable[[], datetime],
    new_id: Callable[[], UUID],
) -> AdviceEnvelope:
    """Advice for the case in `body`, compact unless `full`.

    Raises `CaseError` with all problems.
    """
    request = read_request(decider.vocabulary, body, KEYS)
    advice = decider.decide(request.case)
    return {
        "id": str(new_id()),
        "time": utc_text(now()),
        "kind": "draft" if request.draft else "given",
        "advice": advice if full else compact(advice),
    }


def utc_text(moment: datetime) -> str:
    """A moment as RFC 3339 in UTC with milliseconds: `2026-11-20T09:30:00.000Z`."""
    text = moment.astimezone(UTC).isoformat(timespec="milliseconds")
    return text.replace("+00:00", "Z")
