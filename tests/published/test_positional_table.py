"""The positional table against its published rules, row by row, transcribed by hand.

Rows 2, 3, 5, 9, 10, 13, 19 and 25 follow teaching pages of two osteopathic schools (Michigan State
University, motion mechanics; Chico, positional diagnosis), read: prominent in extension and even in
flexion is flexed (FRS) to that side, the opposite facet cannot close; prominent in flexion and even
in extension is extended (ERS) to that side, that facet cannot open; the restricted motions are the
diagonal opposite of the label. The other rows complete the table by the same rules (no text found),
neutral rows after Fryette's type I. The Michigan page on ERS-right contradicts its own label in its
last line; the table follows the label.
"""

from __future__ import annotations

import pytest

from cds.features.positional import positional_features
from cds.features.table import conflicts
from cds.vocabulary.model import SIDES
from tests.features.cases import ROWS, a_record, mirrored, palpated, plain

# sides (flexion, neutral, extension) | label | restricted | facet | felt again
TABLE = """
1  000 none         -              -                              -
2  00L FRS-L        ext rotR sbR   R-close                        -
3  00R FRS-R        ext rotL sbL   L-close                        -
4  0L0 neutral-L    sbL rotR       -                              -
5  0LL FRS-L        ext rotR sbR   R-close                        -
6  0LR FRS-R        ext rotL sbL   L-close                        again
7  0R0 neutral-R    sbR rotL       -                              -
8  0RL FRS-L        ext rotR sbR   R-close                        again
9  0RR FRS-R        ext rotL sbL   L-close                        -
10 L00 ERS-L        flex rotR sbR  L-open                         -
11 L0L unclear      flex ext rotR sbR  L-open R-close             again
12 L0R ERS-L+FRS-R  flex ext rotR sbR rotL sbL  L-open L-close    -
13 LL0 ERS-L        flex rotR sbR  L-open                         -
14 LLL neutral-L    sbL rotR       -                              -
15 LLR ERS-L+FRS-R  flex ext rotR sbR rotL sbL  L-open L-close    -
16 LR0 ERS-L        flex rotR sbR  L-open                         again
17 LRL unclear      flex ext rotR sbR  L-open R-close             again
18 LRR ERS-L+FRS-R  flex ext rotR sbR rotL sbL  L-open L-close    -
19 R00 ERS-R        flex rotL sbL  R-open                         -
20 R0L ERS-R+FRS-L  flex ext rotL sbL rotR sbR  R-open R-close    -
21 R0R unclear      flex ext rotL sbL  R-open L-close             again
22 RL0 ERS-R        flex rotL sbL  R-open                         again
23 RLL ERS-R+FRS-L  flex ext rotL sbL rotR sbR  R-open R-close    -
24 RLR unclear      flex ext rotL sbL  R-open L-close             again
25 RR0 ERS-R        flex rotL sbL  R-open                         -
26 RRL ERS-R+FRS-L  flex ext rotL sbL rotR sbR  R-open R-close    -
27 RRR neutral-R    sbR rotL       -                              -
"""
PUBLISHED = [line.split() for line in TABLE.strip().splitlines()]
NAMES = {"L": "left", "R": "right"}


def computed(sides: str, *neighbours: str) -> dict[str, object]:
    levels = ("L3", "L2", "L4")
    segments = tuple(
        palpated(level, each) for level, each in zip(levels, (sides, *neighbours), strict=False)
    )
    found = positional_features(a_record(segments=segments), ROWS)
    return {
        name.removeprefix("segment.").removesuffix("@L3"): plain(value)
        for name, value in found.items()
        if name.endswith("@L3")
    }


def side(words: set[str], motion: str) -> str:
    sides = [NAMES[letter] for letter in "LR" if f"{motion}{letter}" in words]
    return "both" if len(sides) == 2 else sides[0] if sides else "none"


def restrictions(words: set[str]) -> dict[str, object]:
    return {
        "restricted_flexion": "yes" if "flex" in words else "no",
        "restricted_extension": "yes" if "ext" in words else "no",
        "restricted_side_bending": side(words, "sb"),
        "restricted_rotation": side(words, "rot"),
    }


def test_the_table_is_whole() -> None:
    assert [int(row[0]) for row in PUBLISHED] == list(range(1, 28))
    assert {row[1] for row in PUBLISHED} == {a + b + c for a in "0LR" for b in "0LR" for c in "0LR"}
    assert [row.number for row in ROWS] == list(range(1, 28))


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row[0])
def test_a_row(row: list[str]) -> None:
    _, sides, name, *rest = row
    words = set(rest)
    neutral = name.startswith("neutral")
    # A neutral row means something only where neighbours make it a group.
    found = computed(sides, *((sides, sides) if neutral else ()))
    label = {part[:3]: NAMES[part[4]] for part in name.split("+") if part[3:4] == "-"}
    pattern = {
        (False, False): {"none": "none", "unclear": "indeterminate"}.get(name, "group"),
        (True, False): "flexed",
        (False, True): "extended",
        (True, True): "flexed_and_extended",
    }[("FRS" in label, "ERS" in label)]
    assert found["pattern"] == pattern
    assert found["flexed_side"] == label.get("FRS", "none")
    assert found["extended_side"] == label.get("ERS", "none")
    assert found["group_side"] == (NAMES[name[-1]] if neutral else "none")
    assert found["palpation_conflict"] == ("yes" if "again" in words else "no")
    if name == "none":
        # Restriction of both sides is not excluded by an even level.
        assert "restricted_flexion" not in found and "restricted_extension" not in found
        assert found["restricted_rotation"] == found["restricted_side_bending"] == "none"
        return
    assert {key: found[key] for key in restrictions(words)} == restrictions(words)
    for which in ("open", "close"):
        facet = [NAMES[word[0]] for word in words if word[1:] == f"-{which}"]
        assert found[f"facet_cannot_{which}"] == (facet[0] if facet else "none")


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row[0])
def test_a_neutral_row_alone_is_indeterminate(row: list[str]) -> None:
    if not row[2].startswith("neutral"):
        assert computed(row[1])["pattern"] != "group"
        return
    found = computed(row[1])
    assert found["pattern"] == "indeterminate"
    assert not [name for name in found if name.startswith("restricted")]


def opposite(sides: str) -> str:
    return sides.translate(str.maketrans("LR", "RL"))


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row[0])
@pytest.mark.parametrize("neighbours", [0, 2])
def test_left_and_right_are_alike(row: list[str], neighbours: int) -> None:
    def levels(sides: str) -> tuple[object, ...]:
        return tuple(palpated(level, sides) for level in ("L3", "L2", "L4")[: neighbours + 1])

    found = positional_features(a_record(segments=levels(row[1])), ROWS)
    other = positional_features(a_record(segments=levels(opposite(row[1]))), ROWS)
    assert other == {name: mirrored(name, value) for name, value in found.items()}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row.number))
def test_restricted_motions_are_the_diagonal_opposite(row: object) -> None:
    assert hasattr(row, "restricted")
    restricted = set(row.restricted)
    for label, sagittal in (("extended", "flexion"), ("flexed", "extension")):
        named = getattr(row, f"{label}_side")
        if named is None:
            continue
        away = SIDES[1 - SIDES.index(named)]
        assert {sagittal, f"rotation_{away}", f"side_bending_{away}"} <= restricted


def test_the_rows_to_feel_again_are_those_of_the_table() -> None:
    noted = {row.number for row in ROWS if "again" in row.note or "re-palpate" in row.note}
    assert {row.number for row in ROWS if conflicts(row)} == noted == {6, 8, 11, 16, 17, 21, 22, 24}
