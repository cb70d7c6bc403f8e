"""From a named prior and a ratio to a probability."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.features.prediction import (
    FRACTURE,
    MALIGNANCY,
    PRIMARY,
    PRIORS,
    STATUSES,
    TERTIARY,
    Likelihood,
    Prior,
    by_odds,
    post_test,
)

PROBABILITY = st.fractions(Fraction(1, 1000), Fraction(999, 1000))
RATIO = st.fractions(0, 2000)
TEN = Likelihood(FRACTURE, PRIMARY, Fraction(10), (Fraction(5), Fraction(20)), "invented", "read")
EVEN = Prior(FRACTURE, PRIMARY, Fraction(1, 2), "invented", "read")


def test_odds_times_ratio() -> None:
    found = post_test(EVEN, TEN)
    assert found.probability == Fraction(10, 11)
    assert found.interval == (Fraction(5, 6), Fraction(20, 21))
    assert found.weaknesses == ()


def test_the_prior_is_always_named() -> None:
    assert str(post_test(EVEN, TEN)) == (
        "vertebral fracture: 90.9 % from a prior of 50.0 % (primary care; invented)"
    )


def test_conditions_are_not_mixed() -> None:
    with pytest.raises(ValueError, match="different conditions"):
        post_test(Prior(MALIGNANCY, PRIMARY, Fraction(1, 2), "invented", "read"), TEN)


def test_another_setting_no_interval_and_memory_are_said() -> None:
    prior = Prior(FRACTURE, TERTIARY, Fraction(1, 20), "invented", "derived")
    bare = Likelihood(FRACTURE, PRIMARY, Fraction(3), None, "invented", "second_hand")
    assert post_test(prior, bare).weaknesses == (
        "The prior is from tertiary care, the ratio from primary care.",
        "No interval of the ratio is at hand; the number looks surer than it is.",
        "The prior was not read in its source (derived).",
        "The ratio was not read in its source (second hand).",
    )


def test_an_infinite_ratio_gives_one_and_says_why() -> None:
    found = post_test(EVEN, Likelihood(FRACTURE, PRIMARY, None, None, "invented", "read"))
    assert found.probability == 1
    assert any("No false positive" in line for line in found.weaknesses)


@pytest.mark.parametrize("probability", [Fraction(0), Fraction(1), Fraction(-1), Fraction(3, 2)])
def test_a_prior_is_never_certain(probability: Fraction) -> None:
    with pytest.raises(ValueError, match="prior"):
        Prior(FRACTURE, PRIMARY, probability, "invented", "read")
    with pytest.raises(ValueError, match="prior"):
        by_odds(probability, Fraction(1))


def test_a_ratio_is_not_negative() -> None:
    with pytest.raises(ValueError, match="negative"):
        by_odds(Fraction(1, 2), Fraction(-1))
    with pytest.raises(ValueError, match="negative"):
        Likelihood(FRACTURE, PRIMARY, Fraction(-1), None, "invented", "read")


@given(PROBABILITY, RATIO)
def test_a_ratio_of_one_changes_nothing_and_more_than_one_raises(
    prior: Fraction, ratio: Fraction
) -> None:
    found = by_odds(prior, ratio)
    assert by_odds(prior, Fraction(1)) == prior
    assert (found > prior) == (ratio > 1)
    assert 0 <= found < 1


@given(PROBABILITY, st.fractions(Fraction(1, 100), 100), st.fractions(Fraction(1, 100), 100))
def test_two_steps_are_one_with_the_product(
    prior: Fraction, first: Fraction, second: Fraction
) -> None:
    assert by_odds(by_odds(prior, first), second) == by_odds(prior, first * second)


def test_priors_say_where_they_come_from() -> None:
    for prior in PRIORS.values():
        assert prior.condition and prior.setting and prior.source
        assert prior.status in STATUSES
