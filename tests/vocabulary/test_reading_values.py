"""Values: exact steps, intervals, and their text."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Amount, Choice, Value
from tests.vocabulary.sample import VOCAB, case


def day(*parts: int) -> int:
    return date(*parts).toordinal()


VALUES = [
    ("pain", 3, Amount(3, 3), "3"),
    ("pain", 3.0, Amount(3, 3), "3"),
    ("pain", Decimal("3.0"), Amount(3, 3), "3"),
    ("t_score", Decimal("-2.1"), Amount(-21, -21), "-2.1"),
    ("t_score", -2.1, Amount(-21, -21), "-2.1"),
    ("t_score", Decimal("0.10"), Amount(1, 1), "0.1"),
    ("dose", 15, Amount(3, 3), "15"),
    ("falls", 12345, Amount(12345, 12345), "12345"),
    ("pain", {"at_least": 3}, Amount(3, None), "at least 3"),
    ("pain", {"more_than": 3}, Amount(4, None), "at least 4"),
    ("pain", {"less_than": 3}, Amount(None, 2), "at most 2"),
    ("pain", {"at_least": 3, "less_than": 7}, Amount(3, 6), "3 to 6"),
    ("pain", {"at_least": 3, "at_most": 3}, Amount(3, 3), "3"),
    ("t_score", {"less_than": Decimal("-2.5")}, Amount(None, -26), "at most -2.6"),
    ("weakness", {"one_of": ["severe", "none"]}, Choice(("none", "severe")), "none or severe"),
    ("operated_on", "2019-07-02", Amount(day(2019, 7, 2), day(2019, 7, 2)), "2019-07-02"),
    ("operated_on", "2020-02", Amount(day(2020, 2, 1), day(2020, 2, 29)),
     "2020-02-01 to 2020-02-29"),
    ("operated_on", "2026", Amount(day(2026, 1, 1), day(2026, 11, 20)),
     "2026-01-01 to 2026-11-20"),
    ("operated_on", {"at_least": "2019", "at_most": "2020-02"},
     Amount(day(2019, 1, 1), day(2020, 2, 29)), "2019-01-01 to 2020-02-29"),
    ("operated_on", {"more_than": "2019", "less_than": "2020-02"},
     Amount(day(2020, 1, 1), day(2020, 1, 31)), "2020-01-01 to 2020-01-31"),
    ("operated_on", {"less_than": "2020"}, Amount(None, day(2019, 12, 31)), "at most 2019-12-31"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "sent", "value", "text"), VALUES)
def test_values(name: str, sent: Any, value: Value, text: str) -> None:
    (answer,) = read_case(VOCAB, case(answers={name: {"value": sent}})).answers[name]
    assert (answer.value, answer.raw) == (value, text)


@given(st.integers(-60, 60))
def test_steps_are_exact(steps: int) -> None:
    for sent in (Decimal(steps) / 10, steps / 10):
        (answer,) = read_case(VOCAB, case(answers={"t_score": sent})).answers["t_score"]
        assert answer.value == Amount(steps, steps)
