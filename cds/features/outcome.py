"""How function and pain stand against the start of the course, by published smallest changes.

A change that matters is reached by points (pain 2, disability index 10, Roland and Morris 5) or by
30 % of the first value (Ostelo 2008, read); worse is judged by points alone (derived). Each
instrument stands for itself: nothing is averaged.
"""

from __future__ import annotations

from cds.features.record import PAIN, Features, Record, points, put
from cds.features.scores import INSTRUMENTS, change
from cds.features.uncertain import Span, choice
from cds.vocabulary.case import Answer
from cds.vocabulary.computed import COMPARABLE
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice

SCORE_DAYS = 28
"""A function score is taken again after so many days (common practice)."""

FUNCTION = {"disability_index": "oswestry", "roland_morris": "roland_morris"}
"""Finding -> instrument."""

CHANGES = {
    "disability_index": "disability_since_first",
    "roland_morris": "roland_morris_since_first",
}
"""Finding -> the feature that says how it changed."""


def outcome_features(record: Record) -> Features:
    """`disability_since_first`, `roland_morris_since_first`, `pain_response`: better, same, worse;
    unknown without an earlier value. `function_score_due`: about the record, not the patient, so
    what is not recorded is due.
    """
    found: Features = {}
    for name, instrument in FUNCTION.items():
        earlier, now = first(record, name), record.standing.get(name)
        if earlier is not None and isinstance(now, Amount):
            span = _span(now, (0, INSTRUMENTS[instrument].top))
            put(found, CHANGES[name], _judged(instrument, earlier, span))
    if record.course == ():
        found["pain_response"] = NOT_APPLICABLE
    elif record.course:
        start = points(record.course[0].pain_before)
        if PAIN not in (start, record.pain):
            put(found, "pain_response", _judged("pain", start, record.pain))
    recent = any(
        answer.value is not None and record.days_since(answer.observed) < SCORE_DAYS
        for name in (*FUNCTION, *sections())
        for answer in record.case.answers.get(name, ())
    )
    found["function_score_due"] = Choice(("no",) if recent else ("yes",))
    return found


def sections() -> tuple[str, ...]:
    """The findings that hold the ten section numbers of the disability index."""
    return tuple(f"disability_section_{number}" for number in range(1, 11))


def first(record: Record, name: str) -> Span | None:
    """The earliest recorded value of a score; None unless a later day has one as well."""
    had = [a for a in record.case.answers.get(name, ()) if isinstance(a.value, Amount)]
    if len({answer.observed for answer in had}) < 2:
        return None
    earliest: Answer = min(had, key=lambda answer: answer.observed)
    assert isinstance(earliest.value, Amount)
    top = INSTRUMENTS[FUNCTION[name]].top
    return _span(earliest.value, (0, top))


def _span(value: Amount, widest: Span) -> Span:
    low = widest[0] if value.low is None else max(value.low, widest[0])
    high = widest[1] if value.high is None else min(value.high, widest[1])
    return low, high


def _judged(instrument: str, before: Span, after: Span) -> Choice | None:
    known = INSTRUMENTS[instrument]
    words = set()
    for start in range(before[0], before[1] + 1):
        for end in range(after[0], after[1] + 1):
            told = change(known, start, end)
            better = told.better_by_points or told.better_by_share
            words.add("better" if better else "worse" if told.worse_by_points else "same")
    return choice(words, COMPARABLE)
