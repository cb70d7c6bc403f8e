"""The cluster of five for a myelopathy of the neck, in all 32 combinations.

Source: Cook 2010, J Man Manip Ther 18:175: gait deviation, Hoffmann, inverted supinator, Babinski,
age over 45; three or more make it likely. The cluster is cervical (two of the five are signs of the
arm), so one or none of five clears no thoracic cord.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest

from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.support.fixtures import base, decider, laid_over

CLUSTER = "myelopathy-cluster"
BAND = {"sensation": {"value": "band", "how": "examined"}}
ALL = list(product((False, True), repeat=5))


def advised(items: tuple[bool, ...], more: dict[str, Any], age: int | None = None) -> Advice:
    gait, hoffmann, supinator, upgoing, old = items
    answers = {
        "gait": {"value": "unsteady" if gait else "normal", "how": "examined"},
        "hoffmann_sign": "yes" if hoffmann else "no",
        "inverted_supinator_sign": "yes" if supinator else "no",
        "babinski_sign": "yes" if upgoing else "no",
        **more,
    }
    years = age if age is not None else (46 if old else 45)
    over = {"answers": answers, "patient": {"age": years, "sex": "male"}}
    deciding = decider()
    return deciding.decide(read_case(deciding.vocabulary, laid_over(base("first-visit"), over)))


def fired(advice: Advice) -> set[str]:
    return {step["rule"] for step in advice["chain"]["steps"] if step["status"] == "fired"}


@pytest.mark.parametrize("items", ALL)
def test_three_of_five_and_no_fewer(items: tuple[bool, ...]) -> None:
    assert (CLUSTER in fired(advised(items, {}))) is (sum(items) >= 3)


@pytest.mark.parametrize("items", [one for one in ALL if sum(one) <= 1])
def test_one_or_none_clears_no_thoracic_cord(items: tuple[bool, ...]) -> None:
    advice = advised(items, BAND)
    assert CLUSTER not in fired(advice)
    assert "cord-sign-single" in fired(advice)
    assert advice["path"]["up_to"]["now"] == "no_treatment"


@pytest.mark.parametrize("items", [one for one in ALL if any(one[:4])])
def test_a_single_sign_bars_every_region(items: tuple[bool, ...]) -> None:
    """IFOMPT list as tabulated: an upper motor neuron lesion; age alone is no sign."""
    assert advised(items, {})["path"]["up_to"]["now"] == "no_treatment"


def test_age_alone_is_no_sign() -> None:
    advice = advised((False, False, False, False, True), {})
    assert not {rule for rule in fired(advice) if rule.startswith(("cord", "myelopathy"))}


def test_what_was_not_tested_counts_for_nothing_and_holds_nothing() -> None:
    advice = advised((False, False, False, False, True), {"hoffmann_sign": None})
    assert advice["status"] == "settled"
    assert CLUSTER not in {step["rule"] for step in advice["chain"]["steps"]}
