"""Answering within a case: one more answer, or one more entry of the record, as of the as-of date.

An answer of today takes the place of what the question was told earlier today, unless that was a
positive, which stands. Nothing else of the record is touched.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, NotRequired, TypedDict

from cds.vocabulary.case import Answer, Case, Consent
from cds.vocabulary.freshness import adverse
from cds.vocabulary.model import Finding, Scope
from cds.vocabulary.reading_values import raw
from cds.vocabulary.regions import CONSENTED, LUMBAR
from cds.vocabulary.values import Value
from cds.vocabulary.vocabulary import Vocabulary
from cds.vocabulary.write import value_json

HANDS_ON, AND_THRUST, NOT_GIVEN = "hands_on", "hands_on_and_thrust", "none"
"""What may be entered of consent today."""

NONE = "none"
"""Of a list that was not sent: there are no entries."""


class SaidJson(TypedDict):
    """One thing answered: a finding (with its level), or a place of the record, and its value."""

    finding: NotRequired[str]
    level: NotRequired[str]
    record: NotRequired[str]
    value: Any


@dataclass(frozen=True, slots=True)
class Reply:
    """One answer to a finding. `how` as in the case (`asked`, `by_block`)."""

    finding: str
    level: str | None
    value: Value
    how: str = "asked"


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the record that is no answer to a finding: `part` of the case, `key` in it."""

    part: str
    key: str
    value: Any


Said = Reply | Entry


def told(vocab: Vocabulary, case: Case, said: Iterable[Said]) -> Case:
    """The case with these answers and entries made on its as-of date."""
    for one in said:
        case = _reply(vocab, case, one) if isinstance(one, Reply) else _entry(case, one)
    return case


def said_json(vocab: Vocabulary, one: Said) -> SaidJson:
    """What was said, as JSON."""
    if isinstance(one, Entry):
        return {"record": f"{one.part}.{one.key}", "value": one.value}
    found: SaidJson = {
        "finding": one.finding,
        "value": value_json(vocab.findings[one.finding], one.value),
    }
    if one.level is not None:
        found["level"] = one.level
    return found


# ---------------------------------------------------------------- answers
def _reply(vocab: Vocabulary, case: Case, reply: Reply) -> Case:
    finding = vocab.findings[reply.finding]
    answer = Answer(
        finding=finding.name,
        value=reply.value,
        missing=None,
        observed=case.as_of,
        asked=case.as_of,
        how=reply.how,
        by=case.clinician,
        raw=raw(finding, reply.value),
    )
    if adverse(finding, answer):
        # a positive told now is not ended by an entry of the same day, made before it
        case = replace(
            case,
            resolved=tuple(
                entry
                for entry in case.resolved
                if (entry.finding, entry.level, entry.on) != (finding.name, reply.level, case.as_of)
            ),
        )
    if finding.scope is Scope.CASE:
        return replace(case, answers=_with(vocab, case, case.answers, finding, answer))
    segments = tuple(
        replace(segment, answers=_with(vocab, case, segment.answers, finding, answer))
        if segment.level == reply.level
        else segment
        for segment in case.segments or ()
    )
    return replace(case, segments=segments)


def _with(
    vocab: Vocabulary, case: Case, answers: Any, finding: Finding, answer: Answer
) -> dict[str, tuple[Answer, ...]]:
    kept = tuple(
        old
        for old in answers.get(finding.name, ())
        if old.observed != case.as_of or adverse(finding, old)
    )
    found = {**answers, finding.name: (*kept, answer)}
    return {name: found[name] for name in vocab.findings if name in found}


# ---------------------------------------------------------------- the record
def _entry(case: Case, entry: Entry) -> Case:
    part, key, value = entry.part, entry.key, entry.value
    if part == "patient":
        if key == "sex":
            return replace(case, sex=value)
        return replace(case, age_low=value, age_high=value)
    if part == "clinician":
        return replace(case, training={**case.training, key: value})
    if part == "consents":
        return _consent(case, value)
    if part == "referrals":
        return replace(case, referrals_sent=True)
    if part == "course":
        if case.course is None:
            return replace(case, course=())
        return replace(case, course=(*case.course[:-1], replace(case.course[-1], **{key: value})))
    if part == "today":
        if not case.steps:
            return replace(case, steps=())
        return replace(case, steps=(*case.steps[:-1], replace(case.steps[-1], **{key: value})))
    level, _, position = key.partition(".")
    segments = tuple(
        replace(segment, **{position: value}) if segment.level == level else segment
        for segment in case.segments or ()
    )
    return replace(case, segments=segments)


def _consent(case: Case, value: str) -> Case:
    families = {HANDS_ON: ("hands_on",), AND_THRUST: ("hands_on", "thrust")}.get(value, ())
    levels = {segment.level for segment in case.segments or ()}
    fitting = [name for name, covered in CONSENTED.items() if levels and levels <= {*covered}]
    given = tuple(
        Consent(
            family=family,
            region=fitting[0] if fitting else LUMBAR,
            on=case.as_of,
            by=case.clinician or "the therapist of this visit",
            capacity="yes",
            risks_given="yes",
            alternative_given="yes",
        )
        for family in families
    )
    return replace(case, consents=(*case.consents, *given), consents_sent=True)
