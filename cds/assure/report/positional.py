"""The positional table: which side stands out in three positions, and what that means."""

from __future__ import annotations

from collections.abc import Sequence

from cds.assure.report.html import Child, Html, table
from cds.explain.words import word
from cds.rulebook.book import PositionalRow
from cds.rulebook.program import Program

HEADS = ("Row", "In flexion", "In neutral", "In extension", "Pattern", "Restricted", "Facet, note")


def positional(program: Program) -> Html:
    """The table, row by row as written."""
    rows: list[tuple[Sequence[Child], str | None]] = [
        (_cells(row), f"position-{row.number}") for row in program.positional
    ]
    return table("Side of the transverse process that stands out", HEADS, rows)


def _cells(row: PositionalRow) -> list[Child]:
    sides = [
        f"{name} {side}"
        for name, side in (
            ("flexed", row.flexed_side),
            ("extended", row.extended_side),
            ("prominent", row.prominent_side),
        )
        if side is not None
    ]
    pattern = word(row.pattern) + (f": {', '.join(sides)}" if sides else "")
    facet = word(row.facet) if row.facet and row.facet != "none" else ""
    return [
        str(row.number),
        row.flexion,
        row.neutral,
        row.extension,
        pattern,
        ", ".join(word(motion) for motion in row.restricted) or "–",
        ". ".join(part for part in (facet, row.note.rstrip(".")) if part) or "–",
    ]
