"""What a printed figure can have been before it was rounded half up to its last digit."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from cds.features.exact import half_up


class Printed(NamedTuple):
    """All values that print alike, `low` up to but not including `high`."""

    low: Fraction
    high: Fraction

    def meets(self, low: Fraction, high: Fraction) -> bool:
        """Whether some value between `low` and `high` prints like this."""
        return low < self.high and high >= self.low


def printed(text: str) -> Printed:
    """A figure as printed, such as `24.38` or `.63`."""
    half = Fraction(1, 2 * 10 ** places(text))
    return Printed(Fraction(text) - half, Fraction(text) + half)


def places(text: str) -> int:
    return len(text.partition(".")[2])


def same(value: Fraction, text: str) -> bool:
    """Whether `value` prints as `text`, half up."""
    return half_up(value, places(text)) == half_up(Fraction(text), places(text))


def ratio_range(sensitivity: str, specificity: str) -> tuple[Fraction, Fraction]:
    """Positive likelihood ratios that two printed rates leave possible."""
    one, other = printed(sensitivity), printed(specificity)
    return one.low / (1 - other.low), one.high / (1 - other.high)


def log_symmetric(value: str, low: str, high: str) -> bool:
    """Whether a ratio can be the middle of its interval on the log scale (the simple method)."""
    middle, below, above = printed(value), printed(low), printed(high)
    return Printed(middle.low**2, middle.high**2).meets(
        below.low * above.low, below.high * above.high
    )
