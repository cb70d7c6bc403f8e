"""The smallest change that matters, on, just under and just over.

Ostelo 2008, Spine 33:90 (read): pain 2 of 10 or 15 of 100, disability index 10, Roland-Morris 5 of
24, or 30 % of the start on any of them. The modified disability index is cited with 6 (Fritz and
Irrgang 2001, memory). Success in Flynn 2002 is half of the start (read).
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from cds.features.scores import INSTRUMENTS, SHARE_THAT_MATTERS, change

# instrument, smallest step recorded, points that matter, a start high enough for them
TABLE = [
    ("pain", "1", 2, 10),
    ("pain_line", "1", 15, 100),
    ("oswestry", "2", 10, 100),
    ("oswestry", "0.1", 10, 100),
    ("roland_morris", "1", 5, 24),
]


@pytest.mark.parametrize(("key", "step", "points", "start"), TABLE)
def test_points_on_just_under_and_just_over(key: str, step: str, points: int, start: int) -> None:
    scale = INSTRUMENTS[key]
    for more, reached in ((-1, False), (0, True), (1, True)):
        end = start - points - more * Decimal(step)
        assert change(scale, start, end).better_by_points is reached
        assert change(scale, end, start).worse_by_points is reached


@pytest.mark.parametrize("key", sorted(INSTRUMENTS))
def test_30_percent_on_just_under_and_just_over(key: str) -> None:
    scale = INSTRUMENTS[key]
    hair = Fraction(1, 10**9)
    for start in (Fraction(1), Fraction(scale.top, 3), Fraction(scale.top)):
        for more, reached in ((-hair, False), (Fraction(0), True), (hair, True)):
            end = start - start * SHARE_THAT_MATTERS - more
            assert change(scale, start, end).better_by_share is reached


def test_30_percent_is_exact_where_floats_are_not() -> None:
    """7.0 to 4.9 is 30 % exactly; with floats it falls short by the last bit."""
    assert 7.0 - 4.9 < 7.0 * 0.3
    assert change(INSTRUMENTS["pain"], 7, Decimal("4.9")).better_by_share


def test_two_points_and_30_percent_part_at_a_start_of_7() -> None:
    """Derived: up to 6 two points are 30 % or more, from 7 on they are less."""
    scale = INSTRUMENTS["pain"]
    both = [start for start in range(2, 11) if change(scale, start, start - 2).better_by_share]
    assert both == [2, 3, 4, 5, 6]


def test_the_modified_index_is_named_beside_the_ten_points() -> None:
    found = change(INSTRUMENTS["oswestry"], 40, 33)
    assert not found.better_by_points
    assert any("6 points" in line and "from memory" in line for line in found.weaknesses)


def test_half_of_the_start_is_the_success_of_the_manipulation_rule() -> None:
    assert change(INSTRUMENTS["oswestry"], 42, 21).share == Fraction(1, 2)
