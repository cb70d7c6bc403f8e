"""Exact numbers in, numbers as printed out: fractions for reckoning, half-up for showing.

The trap this module is for: papers round half up, 20/32 = .625 to .63 and 218.25 to 218.3. A
language that rounds half to even gives .62 and 218.2 (but 24.375 to 24.38, so one figure that fits
proves nothing), and a binary float may fall on either side of a half. So nothing here is a float,
a comparison uses the fraction, and only what a person reads is rounded, once, at the end.
"""

from __future__ import annotations

from decimal import Context, Decimal
from fractions import Fraction

Exact = int | Decimal | Fraction
"""What is taken as a number; a float or a bool is refused."""

WORKING = Context(prec=50)
"""Digits for roots, logarithms and exponentials, far beyond what is ever shown."""


def exact(value: Exact) -> Fraction:
    """The number as a fraction.

    TypeError for a float, a bool or anything else; ValueError for a Decimal that is not finite.
    """
    if isinstance(value, bool) or not isinstance(value, (int, Decimal, Fraction)):
        raise TypeError(f"an exact number is needed, not {type(value).__name__}")
    if isinstance(value, Decimal) and not value.is_finite():
        raise ValueError("a finite number is needed")
    return Fraction(value)


def half_up(value: Exact, places: int = 0) -> Decimal:
    """`value` with `places` digits after the point (0 or more); a half goes away from zero.

    The same as quantizing with ROUND_HALF_UP, but exact for fractions that no decimal can hold.
    The digits are kept: `half_up(2, 1)` is `2.0`. Zero has no sign. Errors as in `exact`, and
    ValueError for negative `places`.
    """
    if places < 0:
        raise ValueError("digits after the point are counted from 0")
    number = exact(value)
    top, bottom = abs(number.numerator) * 10**places, number.denominator
    digits = (2 * top + bottom) // (2 * bottom)
    sign = 1 if number < 0 and digits else 0
    return Decimal((sign, tuple(int(digit) for digit in str(digits)), -places))


def percent(share: Exact, places: int = 0) -> Decimal:
    """A share (0 to 1) as percent, half up. Errors as in `half_up`."""
    return half_up(exact(share) * 100, places)


def decimal(value: Exact) -> Decimal:
    """The number to the working digits, for roots and logarithms. Errors as in `exact`."""
    number = exact(value)
    return WORKING.divide(Decimal(number.numerator), Decimal(number.denominator))
