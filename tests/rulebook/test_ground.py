"""Rules at one level and side: names, operands and writes land where they should."""

from __future__ import annotations

import pytest

from cds.rulebook.book import Write
from cds.rulebook.conditions import Leaf, Source
from cds.rulebook.ground import (
    ALL_LEVELS,
    SlotKey,
    ground_write,
    input_at,
    leaf_at,
    neighbours,
    places_of,
    slot_read,
    with_side,
)
from cds.vocabulary.model import NAMELESS
from cds.vocabulary.values import Op
from tests.support.books import asks, rule


def test_a_rule_stands_once_per_level_and_side() -> None:
    plain = rule("r", asks("f"))
    assert list(places_of(plain)) == [(None, None)]
    both = list(places_of(rule("r", asks("f"), for_each=("segment", "side"))))
    assert len(both) == 20
    assert both[:3] == [("T10", "left"), ("T10", "right"), ("T11", "left")]
    assert both[-1] == (NAMELESS, "right")


def test_sides_fill_operands() -> None:
    assert with_side("{side}", "left") == "left"
    assert with_side("{other_side}", "left") == "right"
    assert with_side("{side}", None) == "{side}"
    leaf = Leaf(Source.FINDING, "where", Op.IN, ("{side}", "none"))
    assert leaf_at(leaf, "right").words == ("right", "none")


def test_only_segment_names_carry_the_level() -> None:
    assert input_at("segment.provocation", "L5") == "segment.provocation@L5"
    assert input_at("fever", "L5") == "fever"
    assert slot_read("segment.limit.thrust", "L5") == SlotKey("limit", "thrust", "L5")
    assert slot_read("limit.thrust", "L5") == SlotKey("limit", "thrust", "")
    assert slot_read("care_today", None) == SlotKey("care_today")


@pytest.mark.parametrize(
    ("level", "wanted"),
    [("T10", ("T11",)), ("L5", ("L4", "S1")), ("S1", ("L5",)), (NAMELESS, ())],
)
def test_neighbours(level: str, wanted: tuple[str, ...]) -> None:
    assert neighbours(level) == wanted


def test_writes_reach_case_level_and_neighbours() -> None:
    def slots(reach: str, level: str | None) -> list[str]:
        write = Write("limit", "barred", "thrust", reach)
        return [ground.slot.level for ground in ground_write(write, level, None)]

    assert slots("case", "L5") == [""]
    assert slots("segment", "L5") == ["L5"]
    assert slots("adjacent", "L5") == ["L4", "S1"]
    assert slots("adjacent", NAMELESS) == []
    assert ALL_LEVELS[-1] == NAMELESS
