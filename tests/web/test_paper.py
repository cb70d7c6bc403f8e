from __future__ import annotations

import pytest

from cds.explain.paper import section
from cds.web.paper import Piece, laid, pieces

GAP = Piece("", blank=True)


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("Telephone: ____________________", (Piece("Telephone: "), GAP)),
        ("_____ and _____", (GAP, Piece(" and "), GAP)),
        ("____ is too short", (Piece("____ is too short"),)),
        ("words", (Piece("words"),)),
        ("", (Piece(""),)),
    ],
)
def test_places_left_open_are_found(line: str, found: tuple[Piece, ...]) -> None:
    assert pieces(line) == found


def test_words_and_order_stay() -> None:
    paper = laid({"title": "T", "sections": [section("H", ["a", "b"]), section("", ["c"])]})
    assert paper.title == "T"
    assert [(part.heading, len(part.lines)) for part in paper.sections] == [("H", 2), ("", 1)]
    assert paper.sections[0].lines[1] == (Piece("b"),)
