"""Which label palpation did not give a level, and the first position that did not fit it.

For each label the table's nearest rows are taken (most positions as recorded), and of these the
first position, in the order of palpation, where what was recorded is not what one of them needs.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.features.table import GRADE_TIE, GROUP_IF_LARGE, PROMINENT, Row, Table
from cds.rulebook.program import Program
from cds.vocabulary.case import Segment
from cds.vocabulary.model import SIDES
from cds.vocabulary.reasons import NotMade

LABELS = {
    "flexed": ("flexed", "Flexed"),
    "extended": ("extended", "Extended"),
    "flexed_and_extended": ("flexed_and_extended", "Flexed and extended"),
    "group": (GROUP_IF_LARGE, "Part of a group"),
}
"""Label -> the table's word for it, and its name in a sentence."""

POSITIONS = ("flexion", "neutral", "extension")


class Missed:
    """The labels not made, for the levels of one program."""

    def __init__(self, program: Program) -> None:
        tie = program.parameters.get("grade_tie", GRADE_TIE)
        self.table = Table(program.positional, tie)
        self.rows = tuple(program.positional)

    def at(self, segment: Segment, pattern: str) -> list[NotMade]:
        """Every label but the one that the level has (`pattern`, or `unknown`)."""
        found: list[NotMade] = []
        recorded = self._recorded(segment)
        for name, (label, title) in LABELS.items():
            rows = [row for row in self.rows if row.pattern == label]
            if name == pattern or not rows:
                continue
            position, text = _first_failed(rows, recorded)
            found.append({"pattern": name, "position": position, "text": f"{title}: {text}"})
        return found

    def _recorded(self, segment: Segment) -> tuple[str | None, ...]:
        """Flexion, neutral and extension; after the grades, where all three are known."""
        known = segment.flexion, segment.neutral, segment.extension
        rows = self.table.candidates(segment)
        if None in known or len(rows) != 1:
            return known
        return _of(rows[0])


def _of(row: Row) -> tuple[str, str, str]:
    return row.flexion, row.neutral, row.extension


def _first_failed(rows: Iterable[Row], recorded: tuple[str | None, ...]) -> tuple[str, str]:
    """The first position that does not fit the nearest rows, and why."""

    def fits(row: Row) -> int:
        pairs = zip(_of(row), recorded, strict=True)
        return sum(2 if needed == seen else 1 if seen is None else 0 for needed, seen in pairs)

    best = max(fits(row) for row in rows)
    nearest = [_of(row) for row in rows if fits(row) == best]
    for place, position in enumerate(POSITIONS):
        seen = recorded[place]
        needed = {row[place] for row in nearest if row[place] != seen}
        if needed:
            return position, _text(position, seen, needed)
    return "neighbours", "too few neighbouring levels stand out on the same side."


def _text(position: str, seen: str | None, needed: set[str]) -> str:
    where = {"neutral": "in neutral"}.get(position, f"in {position}")
    if seen is None:
        return f"{where} nothing was recorded."
    return f"{where} it is {_word(seen)}; it would have to be {_needed(needed)}."


def _word(seen: str) -> str:
    return "even" if seen == PROMINENT[0] else f"prominent on the {seen}"


def _needed(needed: set[str]) -> str:
    sides = needed & set(SIDES)
    even = "even" if PROMINENT[0] in needed else ""
    prominent = ""
    if sides:
        prominent = "prominent on one side" if len(sides) > 1 else _word(sides.pop())
    return " or ".join(text for text in (even, prominent) if text)
