"""A written paper laid out for a page: its lines in pieces, with the places left open for a pen."""

from __future__ import annotations

import re
from dataclasses import dataclass

from cds.explain.paper import Paper

_OPEN = re.compile(r"_{5,}")


@dataclass(frozen=True, slots=True)
class Piece:
    """Words, or a place left open (`blank`)."""

    text: str
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A section: its heading, and its lines in pieces."""

    heading: str
    listed: bool
    lines: tuple[tuple[Piece, ...], ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """The paper as its template sets it."""

    title: str
    sections: tuple[Part, ...]


def laid(paper: Paper) -> Laid:
    """The same words in the same order; each run of underscores is a place left open."""
    return Laid(
        paper["title"],
        tuple(
            Part(part["heading"], part["listed"], tuple(pieces(line) for line in part["lines"]))
            for part in paper["sections"]
        ),
    )


def pieces(line: str) -> tuple[Piece, ...]:
    """One line, cut where a place is left open."""
    found: list[Piece] = []
    at = 0
    for gap in _OPEN.finditer(line):
        if gap.start() > at:
            found.append(Piece(line[at : gap.start()]))
        found.append(Piece("", blank=True))
        at = gap.end()
    if at < len(line) or not found:
        found.append(Piece(line[at:]))
    return tuple(found)
