"""Counting items that hold, with open ones, over an invented list."""

from __future__ import annotations

from itertools import product
from types import MappingProxyType

import pytest

from cds.features.counts import Criteria, Row, count
from cds.vocabulary.values import Tri

YES, NO, OPEN = Tri.TRUE, Tri.FALSE, Tri.UNKNOWN
ROWS = (Row(2, None, "two or more", None, "read"), Row(1, 1, "exactly one", None, "read"))
ITEMS = MappingProxyType({"a": "first", "b": "second", "c": "third"})
LIST = Criteria("pears", "Pears", ITEMS, ROWS, "invented", "read", MappingProxyType({"r": "R"}))


def completions(answers: tuple[Tri, ...]) -> list[tuple[Tri, ...]]:
    return list(product(*((YES, NO) if value is OPEN else (value,) for value in answers)))


def agreed(values: set[bool]) -> Tri:
    return OPEN if len(values) > 1 else (YES if values.pop() else NO)


@pytest.mark.parametrize("answers", list(product(Tri, repeat=4)))
def test_a_row_is_certain_exactly_where_every_completion_agrees(answers: tuple[Tri, ...]) -> None:
    found = count(LIST, dict(zip(("a", "b", "c", "r"), answers, strict=True)))
    sums = [sum(value is YES for value in filled[:3]) for filled in completions(answers)]
    assert found.span == (min(sums), max(sums))
    for row, truth in found.rows:
        top = 3 if row.at_most is None else row.at_most
        assert truth is agreed(
            {
                filled[3] is YES
                and row.at_least <= sum(value is YES for value in filled[:3]) <= top
                for filled in completions(answers)
            }
        )


def test_what_is_not_answered_is_open_never_absent() -> None:
    found = count(LIST, {"a": YES})
    assert (found.span, found.applies) == ((1, 3), OPEN)
    assert [truth for _, truth in found.rows] == [OPEN, OPEN]
    assert found.weaknesses == ("Not recorded: 2 of the items.",)


def test_complete_answers_leave_nothing_open() -> None:
    assert count(LIST, {"a": YES, "b": NO, "c": NO, "r": YES}).weaknesses == ()


def test_a_stranger_is_refused() -> None:
    with pytest.raises(ValueError, match="pears has no item plum"):
        count(LIST, {"plum": YES})
