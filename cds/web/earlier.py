"""What the record says of each question: the answer before, and what one tap may do with it.

`unchanged` is offered only where the rule book lets an earlier negative be confirmed on this day;
whether it then counts, after a fall say, the draft shows. An earlier positive that still stands is
offered its ends, each by its own way: it does not lapse, and a new "no" does not end it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from cds.vocabulary.ageing import Standing, stand
from cds.vocabulary.case import Answer, Case
from cds.vocabulary.freshness import Freshness, Worry, adverse, worry
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
    standing = stand(vocabulary, case)
    fresh = Freshness(vocabulary, case)
    found: dict[str, Before] = {}
    for name, level, answers in _answers(case):
        last = _latest(answers)
        if last is None:
            continue
        finding = vocabulary.findings[name]
        used = standing.used.get(at_level(name, level))
        found[field_of(name, level)] = Before(
            last.raw or "",
            last.observed,
            last.by,
            _confirm(finding, last, vocabulary, standing, fresh),
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


def _confirm(
    finding: Finding, last: Answer, vocabulary: Vocabulary, standing: Standing, fresh: Freshness
) -> bool:
    """Whether the book lets this answer be confirmed as unchanged on the as-of date."""
    if not finding.unchanged or finding.numeric or adverse(finding, last):
        return False
    if last.observed >= fresh.as_of:
        return False
    again = replace(last, asked=fresh.as_of, confirmations=last.confirmations + 1)
    if fresh.unchanged(again) is not None:
        return False
    return all(
        worry(vocabulary.findings[name], standing.values.get(name)) is Worry.NO
        for name in finding.unchanged_not_with
    )
