"""The use case "check": is this case readable, and what of it still counts? Decides nothing.

For an EMR that is being connected, or that asks while a form is filled in: it gets either every
problem at once, or how many answers would count, be stale or be missing.
"""

from __future__ import annotations

from collections import Counter
from typing import NotRequired, TypedDict

from cds.service.request import CASE, read_request
from cds.vocabulary.ageing import WHY, SetAside, stand
from cds.vocabulary.model import Scope
from cds.vocabulary.vocabulary import Vocabulary

KEYS = (CASE,)


class Aside(TypedDict):
    """An answer that would not count: the finding (`segment.mobility@L5` for one level) and why."""

    finding: str
    observed: str
    why: str
    by: NotRequired[str]


class Standing(TypedDict):
    """How many answers would count, and how many findings have no value, by reason."""

    used: int
    stale: list[Aside]
    rejected: list[Aside]
    missing: dict[str, int]


class CheckResult(TypedDict):
    """A readable case. `segments` and `sessions` count what was listed, null where no list was
    sent.
    """

    ok: bool
    as_of: str
    moment: str
    segments: int | None
    sessions: int | None
    findings: int
    answers: Standing


def check(vocabulary: Vocabulary, body: object) -> CheckResult:
    """What would count of the case in `body`. Raises `CaseError` with every problem."""
    case = read_request(vocabulary, body, KEYS).case
    standing = stand(vocabulary, case)
    levels = 1 if case.segments is None else len(case.segments)
    return {
        "ok": True,
        "as_of": case.as_of.isoformat(),
        "moment": case.moment,
        "segments": None if case.segments is None else len(case.segments),
        "sessions": None if case.course is None else len(case.course),
        "findings": sum(
            levels if finding.scope is Scope.SEGMENT else 1
            for finding in vocabulary.findings.values()
        ),
        "answers": {
            "used": len(standing.used),
            "stale": [_aside(entry) for entry in standing.stale],
            "rejected": [_aside(entry) for entry in standing.rejected],
            "missing": dict(
                sorted(Counter(reason.value for reason in standing.missing.values()).items())
            ),
        },
    }


def _aside(entry: SetAside) -> Aside:
    found: Aside = {
        "finding": entry.name,
        "observed": entry.answer.observed.isoformat(),
        "why": WHY[entry.why],
    }
    if entry.by is not None:
        found["by"] = entry.by
    return found
