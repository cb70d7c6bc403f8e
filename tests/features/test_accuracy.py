"""Rates, ratios and intervals from four counts. Numbers are invented unless a source is named."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.features.accuracy import Counts, ratio_interval, wilson


def test_rates_and_ratios() -> None:
    counts = Counts(8, 3, 2, 7)
    assert (counts.sensitivity, counts.specificity) == (Fraction(4, 5), Fraction(7, 10))
    assert counts.ratio_positive == Fraction(8, 3)
    assert counts.ratio_negative == Fraction(2, 7)
    assert counts.predictive == Fraction(8, 11)
    assert counts.prevalence == Fraction(1, 2)


def test_what_cannot_be_divided_is_none() -> None:
    assert Counts(5, 0, 1, 9).ratio_positive is None
    assert ratio_interval(Counts(5, 0, 1, 9)) is None
    assert ratio_interval(Counts(0, 2, 6, 7)) is None
    assert Counts(5, 9, 1, 0).ratio_negative is None
    assert Counts(0, 0, 1, 9).predictive is None


@pytest.mark.parametrize("cells", [(-1, 1, 3, 1), (0, 1, 0, 1), (1, 0, 1, 0)])
def test_impossible_counts_are_refused(cells: tuple[int, int, int, int]) -> None:
    with pytest.raises(ValueError, match=r"."):
        Counts(*cells)


@pytest.mark.parametrize(("successes", "of"), [(1, 0), (-1, 3), (4, 3)])
def test_impossible_rates_are_refused(successes: int, of: int) -> None:
    with pytest.raises(ValueError, match="counted among"):
        wilson(successes, of)


@given(st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_the_interval_holds_the_rate_and_mirrors(pair: tuple[int, int]) -> None:
    successes, of = pair
    low, high = wilson(successes, of)
    assert 0 <= low <= Fraction(successes, of) <= high <= 1
    other_low, other_high = wilson(of - successes, of)
    assert abs(Fraction(low) + Fraction(other_high) - 1) < Fraction(1, 10**40)
    assert abs(Fraction(high) + Fraction(other_low) - 1) < Fraction(1, 10**40)


@given(*[st.integers(1, 300)] * 4)
def test_the_ratio_is_in_the_middle_of_its_interval_on_the_log_scale(
    tp: int, fp: int, fn: int, tn: int
) -> None:
    counts = Counts(tp, fp, fn, tn)
    bounds = ratio_interval(counts)
    assert bounds is not None
    assert counts.ratio_positive is not None
    middle = Fraction(bounds[0]) * Fraction(bounds[1]) / counts.ratio_positive**2
    assert bounds[0] < bounds[1]
    assert abs(middle - 1) < Fraction(1, 10**40)
