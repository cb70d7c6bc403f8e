"""Segments in order of treatment."""

from __future__ import annotations

from cds.features.compute import features
from cds.features.order import order
from cds.vocabulary.case import Segment
from cds.vocabulary.model import NAMELESS
from cds.vocabulary.values import Choice, Input
from tests.features.cases import ROWS, a_case, a_record, palpated


def ordered(*levels: Segment, **provoked: str) -> list[str]:
    return [turn.level for turn in turns(*levels, **provoked)]


def turns(*levels: Segment, **provoked: str):  # type: ignore[no-untyped-def]
    values: dict[str, Input] = {**features(a_record(segments=levels), ROWS)}
    values |= {f"segment.provocation@{k}": Choice((word,)) for k, word in provoked.items()}
    return order(a_case(segments=levels), values)


def test_from_below_upward() -> None:
    assert ordered(palpated("T12", "00L"), palpated("L4", "00L"), palpated("L2", "L00")) == [
        "L4", "L2", "T12",
    ]  # fmt: skip


def test_flexed_and_extended_before_a_group_even_where_the_group_is_provoked() -> None:
    group = (palpated("T12", "0L0"), palpated("L1", "0L0"), palpated("L2", "0LL"))
    assert ordered(*group, palpated("L5", "R00"), L1="concordant") == ["L5", "L2", "L1", "T12"]
    last = turns(*group)[-1]
    assert last.reason.startswith("neutral group: after")


def test_the_patients_own_pain_first() -> None:
    levels = (palpated("L5", "00L"), palpated("L2", "00L"), palpated("L3", "L00"))
    assert ordered(*levels, L2="concordant", L3="local") == ["L2", "L3", "L5"]
    assert ordered(*levels, L5="none", L2="local") == ["L2", "L5", "L3"]


def test_the_most_provoked_of_a_stack_says_why() -> None:
    stack = (palpated("L4", "00L"), palpated("L5", "0LL"))
    first = turns(*stack, L4="concordant")[0]
    assert first.level == "L4"
    assert "stacked" in first.reason
    assert "own pain" in first.reason


def test_l5_before_the_sacrum() -> None:
    both = (palpated("L5", "00L"), palpated("S1", "00R"), palpated("L3", "00R"))
    assert ordered(*both) == ["L5", "S1", "L3"]
    assert ordered(*both, S1="concordant") == ["L5", "S1", "L3"]
    assert ordered(*both, S1="concordant", L3="concordant") == ["L5", "S1", "L3"]
    assert "L5 before the sacrum" in turns(*both, S1="concordant")[0].reason


def test_a_level_restricted_on_both_sides_is_no_neutral_level() -> None:
    levels = (palpated("L3", "000"), palpated("L4", "000"), palpated("L5", "00?"))
    values: dict[str, Input] = {
        **features(a_record({"segment.sagittal_motion@L3": "flexion"}, segments=levels), ROWS)
    }
    assert [turn.level for turn in order(a_case(segments=levels), values)] == ["L3", "L5", "L4"]
    values = {**features(a_record(segments=levels), ROWS)}  # not tested: still an even level
    assert [turn.level for turn in order(a_case(segments=levels), values)] == ["L5", "L4", "L3"]


def test_an_even_l5_does_not_come_before_a_provoked_sacrum() -> None:
    assert ordered(palpated("L5", "000"), palpated("S1", "00R")) == ["S1", "L5"]


def test_levels_without_a_label_come_after() -> None:
    levels = (palpated("L5", "000"), palpated("L4", "L0L"), palpated("L3", "???"))
    assert ordered(*levels, palpated("L1", "00L"), L5="concordant") == ["L1", "L4", "L3", "L5"]


def test_the_listed_order_does_not_matter() -> None:
    levels = (palpated("L1", "00L"), palpated("S1", "L00"), palpated("L3", "0R0"))
    assert ordered(*levels) == ordered(*reversed(levels))


def test_no_list_and_an_empty_list() -> None:
    assert [turn.level for turn in order(a_case(), {})] == [NAMELESS]
    assert order(a_case(segments=()), {}) == ()


def test_case_with_a_slip_below_and_a_group_above() -> None:
    """Invented: L5 extended right, L2 flexed left and provoked, T12 to L2 left in neutral."""
    levels = (
        palpated("L5", "RR0"), palpated("L2", "0LL"), palpated("L1", "0L0"), palpated("T12", "LLL"),
    )  # fmt: skip
    assert ordered(*levels, L2="concordant") == ["L2", "L5", "L1", "T12"]
