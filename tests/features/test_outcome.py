"""Function and pain against the start: on, just under and just over what matters."""

from __future__ import annotations

from datetime import timedelta

import pytest

from cds.features.outcome import SCORE_DAYS, first, outcome_features, sections
from cds.features.record import Record
from cds.vocabulary.case import Answer
from cds.vocabulary.values import Amount
from tests.features.cases import AS_OF, a_record, a_session, plain


def answer(name: str, value: int, days_ago: int) -> Answer:
    day = AS_OF - timedelta(days=days_ago)
    return Answer(name, Amount(value, value), None, day, day)


def scored(name: str, *values: tuple[int, int]) -> Record:
    """Values with their days ago; the latest is what counts today."""
    answers = tuple(answer(name, value, days) for value, days in values)
    latest = min(values, key=lambda pair: pair[1])[0]
    return a_record({name: latest}, answers={name: answers})


def told(record: Record, name: str) -> object:
    return plain(outcome_features(record).get(name))


# Ostelo 2008 (read): 10 points of the index, 5 of Roland and Morris, 2 of pain, or 30 % of the
# start.
@pytest.mark.parametrize(
    ("before", "after", "word"),
    [
        (50, 40, "better"), (50, 41, "same"), (20, 14, "better"), (20, 15, "same"),
        (50, 59, "same"), (50, 60, "worse"), (50, 50, "same"),
    ],
)  # fmt: skip
def test_index_on_and_beside_its_limits(before: int, after: int, word: str) -> None:
    record = scored("disability_index", (before, 30), (after, 0))
    assert told(record, "disability_since_first") == word


@pytest.mark.parametrize(
    ("before", "after", "word"),
    [(20, 15, "better"), (20, 16, "same"), (10, 7, "better"), (8, 13, "worse"), (8, 12, "same")],
)
def test_roland_morris_on_and_beside_its_limits(before: int, after: int, word: str) -> None:
    assert (
        told(scored("roland_morris", (before, 30), (after, 0)), "roland_morris_since_first") == word
    )


@pytest.mark.parametrize(
    ("before", "after", "word"),
    [(6, 4, "better"), (6, 5, "same"), (3, 2, "better"), (3, 5, "worse")],
)
def test_pain_on_and_beside_its_limits(before: int, after: int, word: str) -> None:
    record = a_record({"pain": after}, course=(a_session(9, pain_before=before),))
    assert told(record, "pain_response") == word


def test_a_span_that_disagrees_is_open() -> None:
    record = a_record({"pain": Amount(4, 5)}, course=(a_session(9, pain_before=6),))
    assert told(record, "pain_response") == {"better", "same"}


def test_one_value_is_no_change() -> None:
    record = scored("disability_index", (50, 0))
    assert first(record, "disability_index") is None
    assert told(record, "disability_since_first") == "unknown"
    assert told(a_record({"pain": 4}), "pain_response") == "unknown"
    assert told(a_record(course=(a_session(9, pain_before=6),)), "pain_response") == "unknown"


@pytest.mark.parametrize(
    ("days", "due"), [(0, "no"), (SCORE_DAYS - 1, "no"), (SCORE_DAYS, "yes"), (400, "yes")]
)
def test_a_score_is_due_after_four_weeks(days: int, due: str) -> None:
    for name in ("disability_index", "roland_morris", *sections()):
        record = a_record(answers={name: (answer(name, 3, days),)})
        assert told(record, "function_score_due") == due


def test_what_was_never_recorded_is_due() -> None:
    assert told(a_record(), "function_score_due") == "yes"
