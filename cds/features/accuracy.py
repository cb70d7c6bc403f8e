"""What a test was worth in a study: rates, likelihood ratios and intervals from the four counts.

Rates and ratios are exact fractions. Intervals need a root, a logarithm and an exponential; they
are worked out to 50 digits and handed back as decimals. Methods: Wilson 1927 for a rate, the
logarithm of the ratio (Simel 1991) for a likelihood ratio; both, and the normal quantile, are from
memory and checked by reproducing printed intervals.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from cds.features.exact import WORKING, decimal

NORMAL_95 = Decimal("1.959963984540054")
"""97.5 % quantile of the standard normal distribution (from memory)."""

Interval = tuple[Decimal, Decimal]
"""Lower and upper bound."""


@dataclass(frozen=True, slots=True)
class Counts:
    """People by test and truth: positive and negative, each with or without the condition.

    ValueError where a count is negative, or where nobody had or nobody lacked the condition.
    """

    true_positive: int
    false_positive: int
    false_negative: int
    true_negative: int

    def __post_init__(self) -> None:
        cells = (self.true_positive, self.false_positive, self.false_negative, self.true_negative)
        if min(cells) < 0:
            raise ValueError("a count of people is not negative")
        if not self.with_condition or not self.without_condition:
            raise ValueError("rates need people with and people without the condition")

    @property
    def with_condition(self) -> int:
        """How many had the condition (or succeeded)."""
        return self.true_positive + self.false_negative

    @property
    def without_condition(self) -> int:
        """How many did not."""
        return self.false_positive + self.true_negative

    @property
    def prevalence(self) -> Fraction:
        """Share of all with the condition: the prior of this very study."""
        return Fraction(self.with_condition, self.with_condition + self.without_condition)

    @property
    def sensitivity(self) -> Fraction:
        """Share of those with the condition who tested positive."""
        return Fraction(self.true_positive, self.with_condition)

    @property
    def specificity(self) -> Fraction:
        """Share of those without the condition who tested negative."""
        return Fraction(self.true_negative, self.without_condition)

    @property
    def predictive(self) -> Fraction | None:
        """Share of the positive who had the condition; None where nobody was positive."""
        positive = self.true_positive + self.false_positive
        return Fraction(self.true_positive, positive) if positive else None

    @property
    def ratio_positive(self) -> Fraction | None:
        """Likelihood ratio of a positive test; None without a false positive (no finite ratio)."""
        false = 1 - self.specificity
        return self.sensitivity / false if false else None

    @property
    def ratio_negative(self) -> Fraction | None:
        """Likelihood ratio of a negative test; None without a true negative."""
        true = self.specificity
        return (1 - self.sensitivity) / true if true else None


def wilson(successes: int, of: int) -> Interval:
    """95 % interval of a rate after Wilson, within 0 to 1.

    ValueError unless 0 <= successes <= of and of > 0.
    """
    if of <= 0 or not 0 <= successes <= of:
        raise ValueError("successes are counted among at least one person")
    square = Fraction(NORMAL_95) ** 2
    rate = Fraction(successes, of)
    middle = rate + square / (2 * of)
    inside = rate * (1 - rate) / of + square / (4 * of * of)
    root = Fraction(WORKING.multiply(NORMAL_95, WORKING.sqrt(decimal(inside))))
    below, above = (middle - root) / (1 + square / of), (middle + root) / (1 + square / of)
    # At the ends the formula gives 0 and 1; the last digit of the root must not undo that.
    return decimal(below if successes else 0), decimal(above if successes < of else 1)


def ratio_interval(counts: Counts) -> Interval | None:
    """95 % interval of the positive likelihood ratio; None without true or false positives."""
    ratio = counts.ratio_positive
    if not ratio:
        return None
    variance = (
        Fraction(1, counts.true_positive)
        - Fraction(1, counts.with_condition)
        + Fraction(1, counts.false_positive)
        - Fraction(1, counts.without_condition)
    )
    reach = WORKING.exp(WORKING.multiply(NORMAL_95, WORKING.sqrt(decimal(variance))))
    return WORKING.divide(decimal(ratio), reach), WORKING.multiply(decimal(ratio), reach)
