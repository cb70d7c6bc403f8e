"""Restricted motions and facets by row, and agreement with the motion the patient shows."""

from __future__ import annotations

import pytest

from cds.features.motion import facets, motion_features, restricted, sagittal_words
from cds.features.record import Record
from cds.vocabulary.values import NOT_APPLICABLE, Input
from tests.features.cases import ROWS, a_case, a_record, plain

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
    for name in ("restricted_flexion", "restricted_extension", "restricted", "bilateral"):
        assert found(name, 1) == "unknown"
    for name in ("facet_cannot_open", "facet_cannot_close"):
        assert found(name, 1) == {"none", "both"}  # on both sides or on neither, never on one
    assert found("restricted_rotation", 1) == "none"


def test_a_neutral_row_says_something_only_in_a_group() -> None:
    assert restricted(BY_NUMBER[14], grouped=False) is None
    assert found("restricted", 14) == found("restricted_rotation", 14) == "unknown"
    assert found("restricted", 14, grouped=True) == "yes"
    assert found("restricted_side_bending", 14, grouped=True) == "left"
    assert facets(BY_NUMBER[14], True) == (("none",), ("none",))
    assert found("facet_cannot_open", 14) == "unknown"


def both_sides(name: str, tested: str, **standing: str) -> object:
    states = ((BY_NUMBER[1], False),)
    values: dict[str, Input] = motion_features(a_record(standing), states, (tested,))
    return plain(values.get(f"segment.{name}"))


@pytest.mark.parametrize(
    ("tested", "bilateral", "opens", "closes"),
    [
        ("flexion", "extended", "both", "none"),  # bilateral extended: both cannot open
        ("extension", "flexed", "none", "both"),  # bilateral flexed: both cannot close
        ("neither", "none", "none", "none"),
        ("both", "none", "both", "both"),  # stiff both ways: no direction of its own
    ],
)
def test_an_even_level_restricted_on_both_sides(
    tested: str, bilateral: str, opens: str, closes: str
) -> None:
    """Barriers of the table of facets: derived; sagittal motion alone, no side."""
    assert both_sides("bilateral", tested) == bilateral
    assert both_sides("facet_cannot_open", tested) == opens
    assert both_sides("facet_cannot_close", tested) == closes
    for motion in ("flexion", "extension"):
        limited = "yes" if tested in (motion, "both") else "no"
        assert both_sides(f"restricted_{motion}", tested) == limited
    assert both_sides("restricted_rotation", tested) == "none"
    assert both_sides("restricted_side_bending", tested) == "none"


def test_active_motion_agrees_with_a_restriction_on_both_sides() -> None:
    assert both_sides("motion_agrees", "flexion", active_flexion="limited") == "yes"
    assert both_sides("motion_agrees", "flexion", active_flexion="full") == "no"
    assert both_sides("motion_agrees", "extension", active_flexion="limited") == "unknown"
    assert both_sides("motion_agrees", "both", active_flexion="limited") == "unknown"


def test_a_level_with_a_label_is_not_restricted_on_both_sides() -> None:
    assert found("bilateral", 2) == found("bilateral", 12) == found("bilateral", 14) == "none"
    assert found("bilateral", 1, 2) == "unknown"


def test_what_the_test_of_the_level_could_have_shown() -> None:
    name = "segment.sagittal_motion@L5"
    assert sagittal_words(a_record({name: "flexion"}), "L5") == ("flexion",)
    assert sagittal_words(a_record({name: "flexion"}), "L4") == (
        "neither", "flexion", "extension", "both",
    )  # fmt: skip
    assert sagittal_words(a_record({name: NOT_APPLICABLE}), "L5") == ("neither",)
    unasked = Record(a_case(), {}, {}, {})
    assert sagittal_words(unasked, "L5") == ("neither",)


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
    assert found("motion_agrees", 1, **ALL) == "unknown"  # its own test is not recorded
    assert both_sides("motion_agrees", "neither", **ALL) == "n/a"
    assert found("motion_agrees", 1, 2, **ALL) == "unknown"
    assert found("motion_agrees", 14, **ALL) == "unknown"
    assert found("motion_agrees", 2, 3, **ALL) == "unknown"
