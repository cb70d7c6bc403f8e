"""The positional table: from the prominent side in three positions to a label.

The rows are data of the rule book. A level with an unknown position stands for every row it could
still be. Where prominence was graded, and both ends of the movement show the same side, the sign of
flexion minus extension decides (worse in extension: flexed; worse in flexion: extended), unless the
two lie within a tie band. A level without grades is read from the sides alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product

from cds.features.uncertain import possible
from cds.rulebook.book import PositionalRow
from cds.vocabulary.case import Segment

PROMINENT = ("symmetric", "left", "right")
"""What one palpation can show: the side of the more posterior transverse process, or none."""

GRADE_TIE = 1
"""Grades (0-3) that may differ and still count as unchanged: one step is within the error of one
pair of hands (from memory, the careful side: fewer labels). Parameter `grade_tie` overrides it."""

GROUP_IF_LARGE = "group_if_three"
"""The table's word for a level that is part of a group when enough neighbours agree."""

Row = PositionalRow


class Table:
    """Look-up by flexion, neutral and extension.

    `rows` may be incomplete; a level that could fall on a missing row is unknown.
    """

    def __init__(self, rows: Iterable[Row], tie: int = GRADE_TIE) -> None:
        self.rows = {(row.flexion, row.neutral, row.extension): row for row in rows}
        self.tie = tie

    def candidates(self, segment: Segment) -> tuple[Row, ...]:
        """Every row the level could be, in the order of the table; empty where nothing is known."""
        found: dict[tuple[str, str, str], Row] = {}
        for flexion, neutral, extension in product(
            possible(segment.flexion, PROMINENT),
            possible(segment.neutral, PROMINENT),
            possible(segment.extension, PROMINENT),
        ):
            place = (*self._graded(segment, flexion, extension), neutral)
            row = self.rows.get((place[0], place[2], place[1]))
            if row is None:
                return ()
            found[(row.flexion, row.neutral, row.extension)] = row
        return tuple(sorted(found.values(), key=lambda row: row.number))

    def _graded(self, segment: Segment, flexion: str, extension: str) -> tuple[str, str]:
        """Flexion and extension after the grades: the lesser of two equal sides counts as level."""
        grades = segment.grades
        if flexion != extension or flexion == "symmetric":
            return flexion, extension
        if "flexion" not in grades or "extension" not in grades:
            return flexion, extension
        more_in_flexion = grades["flexion"] - grades["extension"]
        if more_in_flexion > self.tie:
            return flexion, "symmetric"
        if more_in_flexion < -self.tie:
            return "symmetric", extension
        return flexion, extension


def conflicts(row: Row) -> bool:
    """Whether the neutral side contradicts the other two, so that the level is to be felt again.

    It does when it stands opposite to the one side the ends show, and when both ends show one side
    that neutral lacks.
    """
    ends = {row.flexion, row.extension} - {"symmetric"}
    if len(ends) != 1:
        return False
    if row.flexion == row.extension:
        return row.neutral not in ends
    return row.neutral != "symmetric" and row.neutral not in ends


def label(row: Row) -> tuple[str, str, str] | None:
    """Pattern, flexed side and extended side of a non-neutral row; None for every other row."""
    if row.pattern not in ("flexed", "extended", "flexed_and_extended"):
        return None
    return (row.pattern, row.flexed_side or "none", row.extended_side or "none")
