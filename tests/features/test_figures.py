"""Predictions of one case: shown only where enough is known, each by its own prior."""

from __future__ import annotations

from fractions import Fraction

import pytest

from cds.features.exact import percent
from cds.features.figures import (
    Figure,
    childs,
    downie,
    flynn,
    fritz,
    henschke,
    malignancy,
    myelopathy,
)
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Input


def values(**given: str | int | Input) -> dict[str, Input]:
    """Words and whole numbers plainly; `L3="stiff"` is the mobility of that level."""
    found: dict[str, Input] = {}
    for name, value in given.items():
        key = f"segment.mobility@{name}" if name.startswith("L") else name
        if isinstance(value, str):
            found[key] = Choice((value,))
        else:
            found[key] = Amount(value, value) if isinstance(value, int) else value
    return found


ALL_FIVE = {
    "duration_days": 15, "leg_symptoms": "above_knee", "fear_avoidance_work": 18, "L3": "stiff",
    "hip_internal_rotation": 36,
}  # fmt: skip
AMISS = {
    "duration_days": 16, "leg_symptoms": "below_knee", "fear_avoidance_work": 19,
    "hip_internal_rotation": 35,
}  # fmt: skip
"""Each just on the other side (Flynn 2002, read: less than 16 days, less than 19, more than 35)."""


def items(figure: Figure | None) -> object:
    assert figure is not None
    return figure.numbers[0].value


def probability(figure: Figure | None) -> str:
    assert figure is not None and figure.post is not None
    return str(percent(figure.post.probability))


@pytest.mark.parametrize("name", sorted(AMISS))
def test_flynn_each_item_just_on_the_other_side(name: str) -> None:
    found = flynn(values(**{**ALL_FIVE, name: AMISS[name]}))
    assert items(found) == (4, 4)
    assert probability(found) == "95"


def test_flynn_with_an_item_open_is_a_span() -> None:
    known = {key: value for key, value in ALL_FIVE.items() if key != "fear_avoidance_work"}
    found = flynn(values(**known))
    assert items(found) == (4, 5)
    assert found is not None and "Not recorded: 1 of the items." in found.weaknesses


def test_flynn_with_two_items_open_says_nothing() -> None:
    assert flynn(values(duration_days=10, leg_symptoms="none", L3="stiff")) is None
    assert flynn({}) is None


def test_flynn_levels_without_stiffness_are_absent_only_when_all_were_felt() -> None:
    some = {k: v for k, v in ALL_FIVE.items() if k != "L3"}
    assert items(flynn(values(**some, L5="normal"))) == (4, 5)
    every = {f"L{number}": "loose" for number in range(1, 6)}
    assert items(flynn(values(**some, **every))) == (4, 4)


def test_flynn_all_five_give_the_number_of_four_not_certainty() -> None:
    found = flynn(values(**ALL_FIVE))
    assert found is not None and found.meaning == "all five"
    assert probability(found) == "95"
    assert found.likelihood is not None and found.likelihood.value == Fraction("24.38")


def test_fritz_only_where_both_hold() -> None:
    assert probability(fritz(values(duration_days=15, leg_symptoms="none"))) == "86"
    assert fritz(values(duration_days=16, leg_symptoms="none")) is None
    assert fritz(values(duration_days=15, leg_symptoms="below_knee")) is None
    assert fritz(values(duration_days=15)) is None


STUDIED = {
    "age": 40, "disability_index": 30, "sex": "male", "spinal_surgery": "none",
    "leg_kind": NOT_APPLICABLE, "power": "normal", "reflexes": "normal", "sensation": "normal",
}  # fmt: skip


@pytest.mark.parametrize(
    ("other", "word"),
    [
        ({}, "yes"), ({"age": 18}, "yes"), ({"age": 60}, "yes"), ({"age": 17}, "no"),
        ({"age": 61}, "no"), ({"disability_index": 29}, "no"),
        ({"spinal_surgery": "over_six_months"}, "no"),
        ({"leg_kind": "radicular"}, "no"), ({"reflexes": "reduced"}, "no"),
        ({"sex": "female"}, "not known"), ({"sex": "female", "pregnancy": "no"}, "yes"),
        ({"sex": "female", "pregnancy": "under_20_weeks"}, "no"),
    ],
)  # fmt: skip
def test_childs_says_whether_the_patient_was_studied(
    other: dict[str, str | int], word: str
) -> None:
    found = childs(values(**{**ALL_FIVE, **STUDIED, **other}))
    assert found is not None and found.numbers[1].value == word
    assert (found.likelihood is not None) is (word == "yes")


def test_childs_only_where_the_rule_is_positive() -> None:
    assert childs(values(**{**ALL_FIVE, **AMISS}, **STUDIED)) is None


@pytest.mark.parametrize(
    ("given", "count", "first", "second"),
    [
        ({"sex": "female"}, 1, "1", None),
        ({"sex": "female", "age": 71}, 2, "7", None),
        ({"sex": "male", "age": 71, "new_trauma": "strain_or_lift"}, 1, "1", None),
        ({"sex": "female", "age": 71, "steroid_use": "systemic"}, 3, "52", "90"),
        ({"sex": "female", "age": 71, "new_trauma": "major"}, 3, "52", "90"),
    ],
)  # fmt: skip
def test_fracture_each_by_its_own_prior(
    given: dict[str, str | int], count: int, first: str, second: str | None
) -> None:
    """Henschke 2009 from memory: 1, 7, 52 %; Downie 2013, 90 % read. Never one number of both."""
    one, other = henschke(values(**given)), downie(values(**given))
    assert one is not None and other is not None
    assert items(one)[0] == items(other)[0] == count  # type: ignore[index]
    assert probability(one) == first
    assert (other.post is None) if second is None else probability(other) == second
    assert one.post is not None and one.post.prior.probability == Fraction(1, 200)
    if other.post is not None:
        assert other.post.prior.probability == Fraction(1, 100)


def test_fracture_without_an_item_says_nothing() -> None:
    none = {"sex": "male", "age": 70, "new_trauma": "minor_fall", "steroid_use": "inhaled"}
    assert henschke(values(**none)) is None
    assert downie(values(**none)) is None
    assert henschke({}) is None


def test_malignancy_of_a_past_cancer_only() -> None:
    assert probability(malignancy(values(cancer_history="past"))) == "7"
    assert malignancy(values(cancer_history="active")) is None
    assert malignancy(values(cancer_history="never")) is None
    assert malignancy({}) is None


@pytest.mark.parametrize(
    ("count", "ratio"), [(0, None), (1, None), (2, None), (3, "30.9"), (5, "30.9")]
)
def test_a_low_count_of_cord_items_gives_no_number(count: int, ratio: str | None) -> None:
    found = myelopathy(values(cord_cluster_items=count))
    assert found is not None and found.post is None
    shown = found.likelihood.value if found.likelihood else None
    assert shown == (Fraction(ratio) if ratio else None)
    assert myelopathy({}) is None
