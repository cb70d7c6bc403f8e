"""Groups, stacks and labels of several levels."""

from __future__ import annotations

import pytest

from cds.features.positional import candidates, positional_features, states_of
from cds.features.table import Table
from cds.vocabulary.case import Segment
from cds.vocabulary.computed import PATTERNS
from tests.features.cases import ROWS, a_record, palpated, plain


def found(name: str, *levels: Segment, **parameters: int) -> dict[str, object]:
    """Feature `segment.name` by level."""
    values = positional_features(a_record(None, parameters, segments=levels), ROWS)
    return {
        segment.level: plain(values.get(f"segment.{name}@{segment.level}")) for segment in levels
    }


def three(middle: str = "0L0") -> tuple[Segment, ...]:
    return palpated("L2", "0L0"), palpated("L3", middle), palpated("L4", "LLL")


def test_three_neutral_neighbours_on_one_side_are_a_group() -> None:
    assert found("pattern", *three()) == {"L2": "group", "L3": "group", "L4": "group"}
    assert set(found("group_side", *three()).values()) == {"left"}
    assert set(found("stacked", *three()).values()) == {"no"}


def test_two_are_not_unless_the_book_says_so() -> None:
    two = three()[:2]
    assert set(found("pattern", *two).values()) == {"indeterminate"}
    assert set(found("pattern", *two, group_size=2).values()) == {"group"}
    assert set(found("pattern", *three(), group_size=4).values()) == {"indeterminate"}


def test_a_level_on_the_other_side_breaks_the_run() -> None:
    assert set(found("pattern", *three("0R0")).values()) == {"indeterminate"}


def test_a_level_that_is_not_listed_breaks_the_run() -> None:
    apart = (palpated("L1", "0L0"), palpated("L2", "0L0"), palpated("L4", "0L0"))
    assert set(found("pattern", *apart).values()) == {"indeterminate"}


def test_a_non_neutral_level_in_a_group_keeps_its_pattern() -> None:
    assert found("pattern", *three("0LL")) == {"L2": "group", "L3": "flexed", "L4": "group"}
    assert found("group_side", *three("0LL")) == {"L2": "left", "L3": "none", "L4": "left"}


def test_one_neutral_level_beside_two_others_is_no_group() -> None:
    levels = (palpated("L2", "0L0"), palpated("L3", "0LL"), palpated("L4", "LL0"))
    assert found("pattern", *levels) == {"L2": "indeterminate", "L3": "flexed", "L4": "extended"}


def test_a_level_to_be_felt_again_does_not_count() -> None:
    assert found("pattern", *three("0LR"))["L2"] == "indeterminate"
    assert found("palpation_conflict", *three("0LR"))["L3"] == "yes"


def test_an_unknown_neutral_leaves_the_group_open() -> None:
    levels = three("0?0")
    either = {"group", "indeterminate"}
    assert found("pattern", *levels) == {
        "L2": either, "L3": {"none", "group", "indeterminate"}, "L4": either,
    }  # fmt: skip
    assert found("group_side", *levels)["L2"] == {"none", "left"}


def test_an_unknown_level_away_from_the_run_changes_nothing() -> None:
    assert found("pattern", *three(), palpated("T12", "???"))["L3"] == "group"


def test_unknown_positions_that_agree_are_certain() -> None:
    assert found("pattern", palpated("L5", "0?L")) == {"L5": "flexed"}
    assert found("flexed_side", palpated("L5", "0?L")) == {"L5": "left"}
    assert found("palpation_conflict", palpated("L5", "0?L")) == {"L5": "unknown"}
    # Nothing is known of the level, but alone it is no group.
    assert found("pattern", palpated("L5", "???")) == {"L5": set(PATTERNS) - {"group"}}
    assert found("flexed_side", palpated("L5", "???")) == {"L5": "unknown"}


def test_an_indeterminate_row_has_no_sides() -> None:
    assert found("pattern", palpated("L5", "L0L")) == {"L5": "indeterminate"}
    assert found("flexed_side", palpated("L5", "L0L")) == {"L5": "none"}
    assert found("extended_side", palpated("L5", "L0L")) == {"L5": "none"}


@pytest.mark.parametrize(
    ("upper", "lower", "stacked"),
    [
        ("00L", "0LL", "yes"),
        ("L00", "LL0", "yes"),
        ("L0R", "LRR", "yes"),
        ("00L", "00R", "no"),
        ("00L", "L00", "no"),
        ("000", "000", "no"),
        ("0L0", "0L0", "no"),
        ("00L", "0??", "unknown"),
        ("00L", "L??", "no"),
        ("000", "???", "no"),
    ],
)
def test_neighbours_with_one_label_are_stacked(upper: str, lower: str, stacked: str) -> None:
    assert found("stacked", palpated("L4", upper), palpated("L5", lower))["L4"] == stacked


def test_levels_that_are_not_neighbours_are_not_stacked() -> None:
    apart = (palpated("L3", "00L"), palpated("L5", "00L"))
    assert set(found("stacked", *apart).values()) == {"no"}


def test_levels_are_read_from_below_upward() -> None:
    listed = {level: palpated(level, "000") for level in ("T10", "S1", "L3")}
    assert list(candidates(Table(ROWS), listed)) == ["S1", "L3", "T10"]


def test_states_say_whether_a_row_is_part_of_a_group() -> None:
    rows = candidates(Table(ROWS), {segment.level: segment for segment in three("0?0")})
    assert [(row.number, grouped) for row, grouped in states_of("L2", rows, 3)] == [
        (4, True), (4, False),
    ]  # fmt: skip


def test_a_level_on_a_row_the_table_lacks_is_unknown() -> None:
    levels = (palpated("L5", "00L"), palpated("L4", "0L0"))
    values = positional_features(a_record(segments=levels), [r for r in ROWS if r.number == 2])
    assert {n for n in values if n.endswith("@L4")} == {"segment.level@L4"}
    assert plain(values.get("segment.pattern@L5")) == "flexed"
    assert plain(values.get("segment.stacked@L5")) == "unknown"


def test_grades_reach_the_label() -> None:
    graded = palpated("L5", "LLL", grades={"flexion": 1, "extension": 3})
    assert found("pattern", graded) == {"L5": "flexed"}
    near = palpated("L5", "LLL", grades={"flexion": 2, "extension": 3})
    assert found("pattern", near) == {"L5": "indeterminate"}
    assert found("pattern", near, grade_tie=0) == {"L5": "flexed"}
