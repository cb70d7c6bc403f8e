"""Restricted motions and facets by row, and agreement with the motion the patient shows."""

from __future__ import annotations

import pytest

from cds.features.motion import facets, motion_features, restricted
from cds.vocabulary.values import Input
from tests.features.cases import ROWS, a_record, plain

BY_NUMBER = {row.number: row for row in ROWS}


def found(name: str, *numbers: int, grouped: bool = False, **standing: str) -> object:
    states = tuple((BY_NUMBER[number], grouped) for number in numbers)
    values: dict[str, Input] = motion_features(a_record(standing), states)
    return plain(values.get(f"segment.{name}"))


def test_a_flexed_level() -> None:
    assert found("restricted_extension", 2) == "yes"
    assert found("restricted_flexion", 2) == "no"
    assert found("restricted_side_bending", 2) == "right"
    assert found("restricted_rotation", 2) == "right"
    assert found("facet_cannot_close", 2) == "right"
    assert found("facet_cannot_open", 2) == "none"


def test_both_sides_are_restricted_where_both_labels_hold() -> None:
    assert found("restricted_rotation", 12) == "both"
    assert found("facet_cannot_open", 12) == found("facet_cannot_close", 12) == "left"


def test_rows_that_agree_are_certain_and_others_are_options() -> None:
    assert found("restricted_rotation", 2, 5, 8) == "right"
    assert found("restricted_rotation", 2, 3) == {"left", "right"}
    assert found("restricted_extension", 2, 10) == "unknown"
    assert found("restricted", 2, 10) == "yes"


def test_an_even_level_leaves_flexion_and_extension_open() -> None:
    for name in ("restricted_flexion", "restricted_extension", "restricted", "facet_cannot_open"):
        assert found(name, 1) == "unknown"
    assert found("restricted_rotation", 1) == "none"


def test_a_neutral_row_says_something_only_in_a_group() -> None:
    assert restricted(BY_NUMBER[14], grouped=False) is None
    assert found("restricted", 14) == found("restricted_rotation", 14) == "unknown"
    assert found("restricted", 14, grouped=True) == "yes"
    assert found("restricted_side_bending", 14, grouped=True) == "left"
    assert facets(BY_NUMBER[14], True) == (("none",), ("none",))
    assert found("facet_cannot_open", 14) == "unknown"


ALL = {
    "active_extension": "poor", "active_side_bending": "right", "active_rotation": "both",
}  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "agrees"),
    [
        ({}, "yes"),
        ({"active_extension": "free"}, "no"),
        ({"active_side_bending": "left"}, "no"),
        ({"active_side_bending": "none"}, "no"),
        ({"active_rotation": None}, "unknown"),
        ({"active_rotation": None, "active_extension": "free"}, "no"),
        ({"active_flexion": "full"}, "yes"),
    ],
)
def test_agreement_of_a_flexed_level(changed: dict[str, str | None], agrees: str) -> None:
    standing = {name: word for name, word in (ALL | changed).items() if word is not None}
    assert found("motion_agrees", 2, **standing) == agrees


def test_limited_is_the_adverse_word_or_the_word_limited() -> None:
    sides = {"active_side_bending": "right", "active_rotation": "right"}
    assert found("motion_agrees", 10, active_flexion="limited", **sides) == "yes"
    assert found("motion_agrees", 10, active_flexion="full", **sides) == "no"


def test_agreement_where_there_is_nothing_to_agree_with() -> None:
    assert found("motion_agrees", 1, **ALL) == "n/a"
    assert found("motion_agrees", 1, 2, **ALL) == "unknown"
    assert found("motion_agrees", 14, **ALL) == "unknown"
    assert found("motion_agrees", 2, 3, **ALL) == "unknown"
