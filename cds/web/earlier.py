"""What the record says of each question: the answer before, and what one tap may do with it.

`unchanged` is offered only where the same confirmation would count on this day, which is tried on
the record itself. An earlier positive that still stands is offered its ends, each by its own way:
it does not lapse, and a new "no" does not end it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Answer, Case, Segment
from cds.vocabulary.freshness import adverse
from cds.vocabulary.model import Finding, at_level
from cds.vocabulary.reading_parts import RESOLVED_BY
from cds.vocabulary.vocabulary import Vocabulary
from cds.web.anchors import field_of


@dataclass(frozen=True, slots=True)
class Before:
    """The latest known answer: its word, its day, whether it may be confirmed, how it may end."""

    value: str
    observed: date
    by: str | None = None
    confirm: bool = False
    ends: tuple[str, ...] = ()


def earlier(vocabulary: Vocabulary, record: Case | None, today: date) -> dict[str, Before]:
    """What the record says, by the name of the field. Empty without a record."""
    if record is None:
        return {}
    today = max(today, record.as_of)
    case = replace(record, as_of=today)
    confirmable = _confirmable(vocabulary, case)
    standing = stand(vocabulary, case).used
    found: dict[str, Before] = {}
    for name, level, answers in _answers(case):
        last = _latest(answers)
        if last is None:
            continue
        finding = vocabulary.findings[name]
        grounded = at_level(name, level)
        used = standing.get(grounded)
        found[field_of(name, level)] = Before(
            last.raw or "",
            last.observed,
            last.by,
            grounded in confirmable,
            _ends(finding, None if used is None else used.answer, today),
        )
    return found


def _answers(case: Case) -> Iterator[tuple[str, str | None, tuple[Answer, ...]]]:
    for name, answers in case.answers.items():
        yield name, None, answers
    for segment in case.segments or ():
        for name, answers in segment.answers.items():
            yield name, segment.level, answers


def _latest(answers: tuple[Answer, ...]) -> Answer | None:
    known = [answer for answer in answers if answer.value is not None]
    return max(known, key=lambda answer: answer.observed, default=None)


def _ends(finding: Finding, standing: Answer | None, today: date) -> tuple[str, ...]:
    """The ways in which a positive of an earlier day may end; none where nothing stands."""
    if standing is None or standing.observed >= today or not adverse(finding, standing):
        return ()
    return tuple(way for way in RESOLVED_BY if way in (finding.ends_by or RESOLVED_BY))


def _confirmable(vocabulary: Vocabulary, case: Case) -> frozenset[str]:
    """The findings whose latest answer would count again if it were confirmed today."""
    answers = {name: _again(found, case.as_of) for name, found in case.answers.items()}
    segments = None if case.segments is None else tuple(_level(s, case) for s in case.segments)
    tried = stand(vocabulary, replace(case, answers=answers, segments=segments))
    return frozenset(name for name, used in tried.used.items() if used.answer.asked == case.as_of)


def _level(segment: Segment, case: Case) -> Segment:
    answers = {name: _again(found, case.as_of) for name, found in segment.answers.items()}
    return replace(segment, answers=answers)


def _again(answers: tuple[Answer, ...], today: date) -> tuple[Answer, ...]:
    last = _latest(answers)
    if last is None or last.observed >= today:
        return answers
    again = replace(
        last, asked=today, how="confirmed_unchanged", confirmations=last.confirmations + 1
    )
    return (*answers, again)
