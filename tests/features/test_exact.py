"""Exact numbers and half-up rounding."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.features.exact import decimal, exact, half_up, percent


@pytest.mark.parametrize("value", [1.5, True, "1", None])
def test_only_exact_numbers_are_taken(value: object) -> None:
    with pytest.raises(TypeError):
        exact(value)  # type: ignore[arg-type]


@pytest.mark.parametrize("value", ["NaN", "Infinity"])
def test_a_decimal_is_finite(value: str) -> None:
    with pytest.raises(ValueError, match="finite"):
        exact(Decimal(value))


@pytest.mark.parametrize(
    ("value", "places", "shown"),
    [
        (Fraction(20, 32), 2, "0.63"),
        (Fraction(975, 40), 2, "24.38"),
        (Fraction(873, 4), 1, "218.3"),
        (Fraction(1, 3), 4, "0.3333"),
        (Fraction(-1, 2), 0, "-1"),
        (Fraction(-1, 3), 0, "0"),
        (2, 1, "2.0"),
        (Decimal("0.05"), 1, "0.1"),
        (10**40, 1, "1" + "0" * 40 + ".0"),
    ],
)
def test_a_half_goes_away_from_zero(value: Fraction, places: int, shown: str) -> None:
    assert str(half_up(value, places)) == shown


@pytest.mark.parametrize(("printed", "value"), [("0.63", "0.625"), ("218.3", "218.25")])
def test_the_trap_is_there(printed: str, value: str) -> None:
    places = len(printed.split(".")[1])
    assert str(round(Fraction(value), places)) != str(Fraction(printed))
    assert str(half_up(Fraction(value), places)) == printed


@given(st.decimals(-(10**6), 10**6, places=5), st.integers(0, 4))
def test_it_is_the_half_up_of_the_decimal_module(value: Decimal, places: int) -> None:
    context = Context(prec=40, rounding=ROUND_HALF_UP)
    assert half_up(value, places) == value.quantize(Decimal((0, (1,), -places)), context=context)


def test_places_are_counted_from_zero() -> None:
    with pytest.raises(ValueError, match="from 0"):
        half_up(1, -1)


def test_percent_and_decimal() -> None:
    assert str(percent(Fraction(32, 71), 1)) == "45.1"
    assert decimal(Fraction(1, 3)) == Decimal("0." + "3" * 50)
