"""The positional table holds every palpation once, and says the same of left and right."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from cds.problems import Problem
from cds.rulebook.book import Book, PositionalRow
from cds.rulebook.checks.sides import mirrored_word
from cds.rulebook.checks.subjects import problem

PROMINENT = ("symmetric", "left", "right")
ROWS = len(PROMINENT) ** 3
Palpation = tuple[str, str, str]


def check(book: Book) -> Iterator[Problem]:
    """Rows that are missing or differ from their mirror. A palpation twice is refused when read."""
    if not book.positional:
        return  # the section is missing as a whole, which is reported where it is read
    rows = {(row.flexion, row.neutral, row.extension): row for row in book.positional}
    for row in book.positional:
        if not 1 <= row.number <= ROWS:
            message = f"row {row.number} is not one of 1 to {ROWS}"
            yield problem("positional-incomplete", message, row.place)
    for wanted in product(PROMINENT, PROMINENT, PROMINENT):
        if wanted not in rows:
            message = f"the positional table lacks {', '.join(wanted)}"
            yield problem("positional-incomplete", message, book.positional[0].place)
    for palpation, row in rows.items():
        other = rows.get(_mirrored(palpation))
        # each pair is told once, at its later row
        if other is None or other.number > row.number or _says(row, True) == _says(other, False):
            continue
        message = f"row {row.number} is not the mirror of row {other.number}"
        yield problem("positional-mirror", message, row.place)


def _mirrored(palpation: Palpation) -> Palpation:
    flexion, neutral, extension = palpation
    return mirrored_word(flexion), mirrored_word(neutral), mirrored_word(extension)


def _says(row: PositionalRow, mirrored: bool) -> tuple[object, ...]:
    """What a row concludes, as a value that can be compared."""
    turn = mirrored_word if mirrored else str
    sides = (row.flexed_side, row.extended_side, row.prominent_side)
    return (
        row.pattern,
        *(None if side is None else turn(side) for side in sides),
        frozenset(turn(motion) for motion in row.restricted),
        turn(row.facet),
    )
