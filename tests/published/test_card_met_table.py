"""The side-lying set-up of muscle energy technique, row by row, and the erratum not followed.

Six rows, transcribed by hand: side to lie on, which way the prominent transverse process lies,
trunk, plane, legs, effort of the patient. The group rows were read on an osteopathic teaching page;
the flexed and extended rows are from memory, with geometry (a separate test derives them). The
effort is away from the barrier, toward the label (common practice).
"""

from __future__ import annotations

import re
from typing import Any

import pytest
import yaml

from tests.support.optional import ROOT

OTHER = {"left": "right", "right": "left"}
SHORT = {"L": "left", "R": "right"}


# diagnosis | label side | lie on | process | trunk | plane | legs, side-bending | effort | status
TABLE = """
N S-L R-R  group    R  left  up    none  neutral   both feet raised, right   feet down        read
N S-R R-L  group    L  right up    none  neutral   both feet raised, left    feet down        read
ERS-R      extended R  left  up    left  flexion   both feet lowered, left   feet up          memory
ERS-L      extended L  right up    right flexion   both feet lowered, right  feet up          memory
FRS-R      flexed   R  right down  left  extension upper leg raised, left    raised leg down  memory
FRS-L      flexed   L  left  down  right extension upper leg raised, right   raised leg down  memory
"""
LINE = re.compile(
    r"^(?P<name>\S+(?: S-\S R-\S)?)\s+(?P<pattern>\w+)\s+(?P<side>[LR])\s+(?P<lie>\w+)\s+"
    r"(?P<process>up|down)\s+(?P<trunk>\w+)\s+(?P<plane>\w+)\s+(?P<legs>[^,]+), (?P<bend>\w+)\s+"
    r"(?P<effort>\w+(?: leg)? (?:up|down))\s+(?P<status>read|memory)$"
)
FOUND = [match for line in TABLE.strip().splitlines() if (match := LINE.match(line))]
each_row = pytest.mark.parametrize("row", FOUND, ids=[match["name"] for match in FOUND])

CARDS: dict[str, dict[str, Any]] = {
    card["id"]: card
    for path in (ROOT / "rules/cards").glob("*.yaml")
    for card in yaml.safe_load(path.read_text(encoding="utf-8"))["cards"]
}
ROWS = yaml.safe_load((ROOT / "rules/positional.yaml").read_text(encoding="utf-8"))["positional"]
LEGS = {
    "both feet raised": "Raise both feet",
    "both feet lowered": "Lower both feet",
    "upper leg raised": "Raise the upper leg",
}
EFFORT = {
    "feet down": "pushes the feet down",
    "feet up": "lifts the feet up",
    "raised leg down": "pulls the raised leg down",
}


def test_the_table_is_whole() -> None:
    assert len(FOUND) == len(TABLE.strip().splitlines()) == 6
    assert {(m["pattern"], m["side"]) for m in FOUND} == {
        (pattern, side) for pattern in ("group", "extended", "flexed") for side in "LR"
    }


@each_row
def test_a_row_of_the_set_up(row: re.Match[str]) -> None:
    card = CARDS[f"{row['pattern']}-muscle-energy"]
    side = SHORT[row["side"]]

    def filled(text: str) -> str:
        return text.replace("{side}", side).replace("{other_side}", OTHER[side])

    told = filled(" ".join(card["set_up"]))
    assert filled(card["lie_on"]) == row["lie"]
    assert f"lies on the {row['lie']} side" in told
    assert ("on top" if row["process"] == "up" else "underneath") in card["position"]
    assert card["sagittal"] == row["plane"]
    assert LEGS[row["legs"]] in told
    assert f"side-bending to the {row['bend']}" in told
    assert EFFORT[row["effort"]] in card["effort"]
    assert f"side-bending to the {OTHER[row['bend']]}" in filled(card["effort"])
    if row["trunk"] == "none":
        assert "no trunk rotation" in told
    else:
        assert filled(card["rotate"]) == row["trunk"]
        # chest down when lying on the side turned to, shoulder back when lying on the other
        toward = "forward, chest toward the table" if row["lie"] == row["trunk"] else "back"
        assert f"Carry the upper shoulder {toward}" in told


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_erratum_of_a_teaching_page_is_not_followed(side: str) -> None:
    """The page on ERS-right ends with "restricted in extension" and moves the left process (read).

    By its own label the restriction is flexion, with rotation and side-bending to the other side.
    """
    labelled = [
        row for row in ROWS if row["pattern"] == "extended" and row["extended_side"] == side
    ]
    assert len(labelled) == 3  # neutral even, or prominent on either side
    for row in labelled:
        assert set(row["restricted"]) == {
            "flexion", f"rotation_{OTHER[side]}", f"side_bending_{OTHER[side]}",
        }  # fmt: skip
        assert "extension" not in row["restricted"]
        assert row["facet"] == f"{side} cannot open"
    for card in CARDS.values():
        if card["pattern"] == "extended":
            assert card["sagittal"] == "flexion"
            assert card["rotate"] == "{other_side}" and card["side_bend"] == "{other_side}"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["row"]))
def test_every_card_of_a_row_goes_to_what_the_row_restricts(row: dict[str, Any]) -> None:
    """A card of the label reaches each restricted motion of its row, and no other."""
    group = row["pattern"] == "group_if_three"
    labels = {
        "flexed": row["flexed_side"],
        "extended": row["extended_side"],
        "group": row["prominent_side"] if group else None,
    }
    reached: set[str] = set()
    for pattern, side in labels.items():
        if side is None:
            continue
        for card in CARDS.values():
            if card["pattern"] != pattern:
                continue
            word = {"{side}": side, "{other_side}": OTHER[side]}
            found = {f"side_bending_{word[card['side_bend']]}"}
            if "rotate" in card:
                found.add(f"rotation_{word[card['rotate']]}")
            if card["sagittal"] != "neutral":
                found.add(card["sagittal"])
            assert found <= set(row["restricted"]), card["id"]
            reached |= found
    if any(labels.values()):
        assert reached == set(row["restricted"])
    else:
        assert row["pattern"] in ("none", "indeterminate")
