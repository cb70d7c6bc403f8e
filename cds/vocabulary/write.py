"""A Case as canonical JSON, and its mirror image.

`read_case(vocab, case_json(vocab, case))` is the same case, but for pointers: every answer is
written in full, with its dates. Blocks have become the answers they stood for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from datetime import date
from typing import Any

from cds.vocabulary.case import Answer, Case, Given, Segment
from cds.vocabulary.model import Finding, Kind
from cds.vocabulary.reading_parts import POSITIONS
from cds.vocabulary.reading_values import raw
from cds.vocabulary.values import Amount, Choice, Value
from cds.vocabulary.vocabulary import SEGMENT, Vocabulary

_SWAP = {"left": "right", "right": "left"}


def case_json(vocab: Vocabulary, case: Case) -> dict[str, Any]:
    """The case as JSON: dict, list, str, int and, for a number with a fraction, float.

    The shortest text of such a float is the exact decimal.
    """
    found: dict[str, Any] = {"as_of": case.as_of.isoformat(), "moment": case.moment}
    found.update(_present({"subject": case.subject, "episode": case.episode}))
    patient = _present({"age": _age(case), "sex": case.sex})
    if patient:
        found["patient"] = patient
    if case.answers:
        found["answers"] = _answers(vocab, case.answers, "")
    if case.resolved:
        found["resolved"] = [_plain(entry) for entry in case.resolved]
    if case.segments is not None:
        found["segments"] = [_segment(vocab, segment) for segment in case.segments]
    if case.course is not None:
        found["course"] = [_plain(session) for session in case.course]
    if case.steps is not None:
        found["today"] = {"steps": [_plain(step) for step in case.steps]}
    if case.referrals_sent:
        found["referrals"] = [_plain(entry) for entry in case.referrals]
    if case.consents_sent:
        found["consents"] = [_plain(entry) for entry in case.consents]
    clinician = _present({"id": case.clinician, "training": dict(case.training) or None})
    if clinician:
        found["clinician"] = clinician
    return found


def mirror_case(vocab: Vocabulary, case: Case) -> Case:
    """The case with left and right exchanged: sided values, prominent sides, sides treated.

    Twice is the case itself. Texts (ids, techniques) are left as they are.
    """
    course = case.course and tuple(
        replace(session, given=session.given and tuple(map(_mirror_given, session.given)))
        for session in case.course
    )
    segments = case.segments and tuple(
        replace(
            segment,
            flexion=_swapped(segment.flexion),
            neutral=_swapped(segment.neutral),
            extension=_swapped(segment.extension),
            answers=_mirror_answers(vocab, segment.answers),
        )
        for segment in case.segments
    )
    answers = _mirror_answers(vocab, case.answers)
    return replace(case, answers=answers, segments=segments, course=course)


def value_json(finding: Finding, value: Value) -> Any:
    """One value as the reader takes it."""
    if isinstance(value, Choice):
        return value.exact or {"one_of": list(value.options)}
    if value.exact is not None:
        return _number(finding, value.exact)
    ends = {"at_least": value.low, "at_most": value.high}
    return {key: _number(finding, end) for key, end in ends.items() if end is not None}


def _number(finding: Finding, steps: int) -> str | int | float:
    if finding.kind is Kind.DATE:
        return date.fromordinal(steps).isoformat()
    number = finding.number(steps)
    return int(number) if number == int(number) else float(number)


def _age(case: Case) -> Any:
    if case.age_low is None or case.age_low == case.age_high:
        return case.age_low
    return {"at_least": case.age_low, "at_most": case.age_high}


def _present(found: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in found.items() if value is not None}


def _plain(record: Any) -> dict[str, Any]:
    """A record of words, numbers, dates and records as JSON, without what is unknown."""
    found: dict[str, Any] = {}
    for entry in fields(record):
        value = getattr(record, entry.name)
        if isinstance(value, date):
            value = value.isoformat()
        elif isinstance(value, tuple):
            value = [_plain(member) for member in value]
        if value is not None:
            found[entry.name] = value
    return found


def _answers(
    vocab: Vocabulary, answers: Mapping[str, Iterable[Answer]], prefix: str
) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, given in answers.items():
        written = [_answer(vocab.findings[name], answer) for answer in given]
        found[name.removeprefix(prefix)] = written[0] if len(written) == 1 else written
    return found


def _answer(finding: Finding, answer: Answer) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if answer.value is not None:
        found["value"] = value_json(finding, answer.value)
    elif answer.missing is not None:
        found["missing"] = answer.missing.value
    found["observed"] = answer.observed.isoformat()
    found["asked"] = answer.asked.isoformat()
    found["how"] = answer.how
    if answer.by is not None:
        found["by"] = answer.by
    if answer.confirmations:
        found["confirmations"] = answer.confirmations
    return found


def _segment(vocab: Vocabulary, segment: Segment) -> dict[str, Any]:
    prominent = _present({position: getattr(segment, position) for position in POSITIONS})
    return {
        "level": segment.level,
        **({"prominent": prominent} if prominent else {}),
        **({"grades": dict(segment.grades)} if segment.grades else {}),
        **({"answers": _answers(vocab, segment.answers, SEGMENT)} if segment.answers else {}),
    }


def _swapped(side: str | None) -> str | None:
    return side and _SWAP.get(side, side)


def _mirror_given(given: Given) -> Given:
    return replace(given, side=_swapped(given.side))


def _mirror_answers(
    vocab: Vocabulary, answers: Mapping[str, tuple[Answer, ...]]
) -> dict[str, tuple[Answer, ...]]:
    return {
        name: tuple(_mirror_answer(vocab.findings[name], answer) for answer in found)
        for name, found in answers.items()
    }


def _mirror_answer(finding: Finding, answer: Answer) -> Answer:
    if answer.value is None or isinstance(answer.value, Amount) or not finding.mirror:
        return answer
    swapped = finding.mirrored(answer.value)
    assert isinstance(swapped, Choice)
    # options stand in declared order, which the exchange may have upset
    value = Choice(tuple(word for word in finding.values if word in swapped.options))
    return replace(answer, value=value, raw=raw(finding, value))
