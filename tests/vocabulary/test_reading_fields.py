"""Small readers of JSON places."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.vocabulary.reading_fields import Sink, as_span, listed, near, parse_span
from tests.vocabulary.sample import TODAY


@given(st.dates())
def test_a_day_a_month_and_a_year_hold_the_day(day: date) -> None:
    text = day.isoformat()
    assert parse_span(text) == (day, day)
    for part in (text[:7], text[:4]):
        span = parse_span(part)
        assert span
        assert span[0] <= day <= span[1]
        assert span[0].isoformat().startswith(part)
        assert span[1].isoformat().startswith(part)
        if span[1] < date.max:
            assert not (span[1] + timedelta(1)).isoformat().startswith(part)


@pytest.mark.parametrize(
    "text",
    ["", "2026-", "2026-1", "2026-11-1", "2026-11-31", "0000", "2026-00", "2026-W01-1", "20261101",
     "2026-11-20\n", " 2026", "+026", "２０２６", "2026/11/20", "20-26-11-1"],
)  # fmt: skip
def test_what_is_no_date(text: str) -> None:
    assert parse_span(text) is None


def test_a_span_ends_on_the_as_of_date() -> None:
    sink = Sink(TODAY)
    assert as_span("2026", "it", "", sink) == (date(2026, 1, 1), TODAY)
    assert as_span("2026-11-20", "it", "", sink) == (TODAY, TODAY)
    assert not sink.problems
    assert as_span("2026-11-21", "it", "", sink) is None
    assert sink.problems


def test_suggestions_and_lists() -> None:
    assert near("thrus", ("thrust", "gentle")) == "did you mean `thrust`?"
    assert near("q", ("thrust",)) is None
    assert near("thrust" * 50, ("thrust",)) is None
    assert listed(()) == "nothing"
    assert listed("a") == "`a`"
    assert listed("abc") == "`a`, `b` or `c`"
