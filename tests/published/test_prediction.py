"""Who profits from manipulation, and sacroiliac tests: published figures recomputed.

Source and status stand beside each figure: read, second hand, derived, memory.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

from cds.features.accuracy import Counts, ratio_interval, wilson
from cds.features.counts import count
from cds.features.criteria import FLYNN, FRITZ, LASLETT
from cds.features.exact import half_up, percent
from cds.features.prediction import PRIORS, by_odds, post_test
from cds.vocabulary.values import Tri
from tests.published.printed import log_symmetric, printed, ratio_range, same
from tests.support.shipped import shipped_text

# Flynn 2002, Spine 27:2835: 71 people, 32 successes (read). Row: at least that many items, printed
# sensitivity, specificity, ratio, probability; successes and failures at or above (derived).
FLYNN_ROWS = [
    (5, ".19", "1.00", None, "100", 6, 0, "second_hand"),
    (4, ".63", ".97", "24.38", "95", 20, 1, "read"),
    (3, ".94", ".64", "2.61", "68", 30, 14, "second_hand"),
    (2, "1.00", ".15", "1.18", "49", 32, 33, "memory"),
    (1, "1.00", ".03", "1.03", "46", 32, 38, "memory"),
]


@pytest.mark.parametrize(("items", "sn", "sp", "ratio", "prob", "yes", "no", "status"), FLYNN_ROWS)
def test_flynn_row_follows_from_its_counts(
    items: int, sn: str, sp: str, ratio: str | None, prob: str, yes: int, no: int, status: str
) -> None:
    counts = Counts(yes, no, 32 - yes, 39 - no)
    assert same(counts.sensitivity, sn)
    assert same(counts.specificity, sp)
    assert counts.predictive is not None
    assert same(counts.predictive * 100, prob)
    row = next(row for row in FLYNN.rows if row.at_least == items)
    assert row.status == status
    assert row.likelihood
    if ratio is None:
        assert counts.ratio_positive is None
        assert row.likelihood.value is None
    else:
        assert counts.ratio_positive is not None
        assert same(counts.ratio_positive, ratio)
        assert row.likelihood.value == Fraction(ratio)
        assert same(by_odds(counts.prevalence, counts.ratio_positive) * 100, prob)


def test_flynn_prior_of_45_percent_becomes_95() -> None:
    prior = PRIORS["manipulation_flynn"]
    assert same(prior.probability * 100, "45")
    likelihood = next(row.likelihood for row in FLYNN.rows if row.at_least == 4)
    assert likelihood
    assert same(post_test(prior, likelihood).probability * 100, "95")


def test_flynn_needs_half_up() -> None:
    """Sensitivity is exactly .625 and the ratio 24.375; half to even would print .62."""
    counts = Counts(20, 1, 12, 38)
    assert (counts.sensitivity, counts.ratio_positive) == (Fraction("0.625"), Fraction("24.375"))
    assert round(counts.sensitivity, 2) == Fraction("0.62")
    assert str(half_up(counts.sensitivity, 2)) == "0.63"
    # The printed ratio fits either way (24.38), so it does not show which rounding was used.
    assert round(counts.ratio_positive or 0, 2) == Fraction("24.38")


def test_flynn_hangs_on_one_false_positive() -> None:
    """Derived: one more false positive halves the ratio; the interval reaches from 3.5 to 172."""
    one, two = Counts(20, 1, 12, 38), Counts(20, 2, 12, 37)
    assert one.ratio_positive == 2 * Fraction(two.ratio_positive or 0)
    low, high = ratio_interval(one) or (None, None)
    assert low is not None and high is not None
    assert (str(half_up(low, 1)), str(half_up(high))) == ("3.5", "172")


def test_flynn_exactly_three_items_say_nothing() -> None:
    """Derived: 10 successes and 13 failures had exactly three, against 32 and 39 in all."""
    stratum = Fraction(30 - 20, 32) / Fraction(14 - 1, 39)
    assert half_up(stratum, 2) == half_up(Fraction("0.94"), 2)
    assert "Exactly three items were worth 0.94" in shipped_text("information-flynn")


# Fritz 2005, BMC Fam Pract 6:29: n=141, 63 successes (read); 35 and 6 positive (derived).
FRITZ_COUNTS = Counts(35, 6, 28, 72)


def test_fritz_figures_and_intervals_follow_from_counts() -> None:
    assert FRITZ_COUNTS.with_condition + FRITZ_COUNTS.without_condition == 141
    assert same(FRITZ_COUNTS.sensitivity, ".56")
    assert same(FRITZ_COUNTS.specificity, ".92")
    assert FRITZ_COUNTS.ratio_positive is not None
    assert same(FRITZ_COUNTS.ratio_positive, "7.2")
    assert FRITZ_COUNTS.predictive is not None
    assert same(FRITZ_COUNTS.predictive * 100, "85")
    assert [str(half_up(bound, 2)) for bound in wilson(35, 63)] == ["0.43", "0.67"]
    assert [str(half_up(bound, 2)) for bound in wilson(72, 78)] == ["0.84", "0.96"]
    bounds = ratio_interval(FRITZ_COUNTS)
    assert bounds is not None
    assert [str(half_up(bound, 1)) for bound in bounds] == ["3.2", "16.1"]


def test_fritz_counts_are_the_only_ones_that_fit() -> None:
    """Derived counts are certain: no other whole numbers give the printed rates and ratio."""
    fitting = [
        (tp, fp)
        for tp, fp in product(range(1, 64), range(1, 79))
        if same(Fraction(tp, 63), ".56")
        and same(1 - Fraction(fp, 78), ".92")
        and same(Fraction(tp, 63) / Fraction(fp, 78), "7.2")
    ]
    assert fitting == [(35, 6)]
    likelihood = FRITZ.rows[0].likelihood
    assert likelihood
    assert (likelihood.value, likelihood.interval) == (
        Fraction("7.2"),
        (Fraction("3.2"), Fraction("16.1")),
    )


@pytest.mark.parametrize("answers", list(product((Tri.TRUE, Tri.FALSE), repeat=5)))
def test_flynn_is_positive_at_four_of_five(answers: tuple[Tri, ...]) -> None:
    found = count(FLYNN, dict(zip(FLYNN.items, answers, strict=True)))
    positive = next(truth for row, truth in found.rows if row.at_least == 4)
    assert (positive is Tri.TRUE) == (answers.count(Tri.TRUE) >= 4)


@pytest.mark.parametrize("answers", list(product((Tri.TRUE, Tri.FALSE), repeat=2)))
def test_fritz_is_positive_with_both(answers: tuple[Tri, ...]) -> None:
    ((_, truth),) = count(FRITZ, dict(zip(FRITZ.items, answers, strict=True))).rows
    assert (truth is Tri.TRUE) == (answers == (Tri.TRUE, Tri.TRUE))


# Childs 2004, Ann Intern Med 141:920. No cell counts were at hand, so no ratio is recomputed; that
# each printed ratio is the middle of its interval (log scale) can be checked.
@pytest.mark.parametrize(
    ("value", "low", "high", "status"),
    [
        ("60.8", "5.2", "704.7", "read"),
        ("2.4", "0.83", "6.9", "read"),
        ("1.0", "0.28", "3.6", "read"),
        ("13.2", "3.4", "52.1", "memory"),
        ("7.2", "3.2", "16.1", "read"),  # Fritz 2005
    ],
)
def test_ratio_is_the_middle_of_its_interval(value: str, low: str, high: str, status: str) -> None:
    assert log_symmetric(value, low, high)


def test_childs_number_needed_to_treat_fits_a_difference_of_53_percent() -> None:
    """1.9 (read) is a gain of 51 to 54 in a hundred: with 92 % (read), 38 to 41 % without it."""
    needed = printed("1.9")
    gain = (1 / needed.high, 1 / needed.low)
    assert [str(percent(bound)) for bound in gain] == ["51", "54"]
    assert [str(percent(Fraction("0.92") - bound)) for bound in reversed(gain)] == ["38", "41"]


# Sacroiliac tests: Laslett 2005 three or more of six (read); van der Wurff 2006 three of five and
# Laslett 2003 three of five, with and without centralisers (second hand).
@pytest.mark.parametrize(
    ("sn", "sp", "positive", "negative"),
    [
        (".94", ".78", "4.3", ".08"),
        (".85", ".79", "4.02", ".19"),
        (".91", ".78", None, None),
        (".91", ".87", "6.97", None),
    ],
)
def test_sacroiliac_ratios_fit_their_printed_rates(
    sn: str, sp: str, positive: str | None, negative: str | None
) -> None:
    low, high = ratio_range(sn, sp)
    if positive:
        assert printed(positive).meets(low, high)
    else:
        assert same(Fraction(sn) / (1 - Fraction(sp)), "4.1")  # none printed; derived
    if negative:
        one, other = printed(sn), printed(sp)
        assert printed(negative).meets((1 - one.high) / other.high, (1 - one.low) / other.low)


def test_sacroiliac_ratios_that_rounded_rates_miss() -> None:
    """By 0.03 each: the rates were rounded before printing, the ratios came from counts."""
    assert half_up(Fraction("0.85") / Fraction("0.21") - Fraction("4.02"), 2) == half_up(
        Fraction("0.03"), 2
    )
    assert half_up(Fraction("0.91") / Fraction("0.13") - Fraction("6.97"), 2) == half_up(
        Fraction("0.03"), 2
    )


def test_laslett_counts() -> None:
    """15 of 16 and 25 of 32: the numbers are from memory, each printed figure follows from them."""
    counts = Counts(15, 7, 1, 25)
    assert same(counts.sensitivity, ".94")
    assert same(counts.specificity, ".78")
    assert counts.ratio_positive is not None and counts.ratio_negative is not None
    assert same(counts.ratio_positive, "4.3")
    positive = LASLETT.rows[0].likelihood
    assert positive
    assert positive.value == Fraction("4.3")
    assert counts.ratio_negative == Fraction("0.08")  # one page prints 0.80: ten times too much


@pytest.mark.parametrize("answers", list(product((Tri.TRUE, Tri.FALSE), repeat=6)))
def test_laslett_is_positive_at_three_of_six_and_unlikely_at_none(answers: tuple[Tri, ...]) -> None:
    found = count(LASLETT, dict(zip(LASLETT.items, answers, strict=True)))
    positive, none = (truth is Tri.TRUE for _, truth in found.rows)
    assert positive == (answers.count(Tri.TRUE) >= 3)
    assert none == (Tri.TRUE not in answers)


def test_thoracic_rule_is_printed_a_point_too_low() -> None:
    """Cleland 2007 (read): 54 % and 5.5 give 86.6, which is 87; 86 is printed.

    Not reproduced by 0.6 points; a prior and a ratio just below the printed ones would give 86.
    """
    assert str(percent(by_odds(Fraction("0.54"), Fraction("5.5")), 1)) == "86.6"
    low = by_odds(printed("54").low / 100, printed("5.5").low)
    high = by_odds(printed("54").high / 100, printed("5.5").high)
    assert printed("86").meets(low * 100, high * 100)
