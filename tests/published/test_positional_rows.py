"""The 27 positional rows follow from the published naming rules, and left and right mirror.

Naming rules (teaching pages on motion mechanics, read): a process prominent in flexion and even in
extension names an extended segment of that side, whose facet there cannot open; one prominent in
extension and even in flexion a flexed segment of that side, whose opposite facet cannot close; the
restricted motions are the diagonal opposite of the label. A group (second hand) bends and rotates
to opposite sides, unchanged or present only in neutral, at three or more neighbouring levels.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
import yaml

from tests.support.optional import ROOT

OTHER = {"left": "right", "right": "left", "symmetric": "symmetric"}
PLACES = ("flexion", "neutral", "extension")
ROWS: list[dict[str, Any]] = yaml.safe_load(
    (ROOT / "rules/positional.yaml").read_text(encoding="utf-8")
)["positional"]
BY_PLACE = {tuple(row[place] for place in PLACES): row for row in ROWS}
SAGITTAL = {"extended": "flexion", "flexed": "extension"}


def swapped(value: Any) -> Any:
    if isinstance(value, list):
        return sorted(swapped(item) for item in value)
    if not isinstance(value, str):
        return value
    return value.replace("left", "\0").replace("right", "left").replace("\0", "right")


def expected(flexion: str, neutral: str, extension: str) -> tuple[str, str | None, str | None]:
    """(pattern, flexed side, extended side) by the naming rules."""
    even = "symmetric"
    if flexion == extension:
        if flexion == even:
            return ("none" if neutral == even else "group_if_three", None, None)
        return ("group_if_three" if neutral == flexion else "indeterminate", None, None)
    flexed = extension if extension != even else None
    extended = flexion if flexion != even else None
    if flexed and extended:
        return "flexed_and_extended", flexed, extended
    return ("flexed" if flexed else "extended"), flexed, extended


def test_every_combination_has_one_row_in_order() -> None:
    assert [row["row"] for row in ROWS] == list(range(1, 28))
    assert list(BY_PLACE) == list(product(("symmetric", "left", "right"), repeat=3))


@pytest.mark.parametrize("row", ROWS, ids=[str(row["row"]) for row in ROWS])
def test_the_label_follows_the_naming_rules(row: dict[str, Any]) -> None:
    wanted = expected(row["flexion"], row["neutral"], row["extension"])
    assert (row["pattern"], row["flexed_side"], row["extended_side"]) == wanted


@pytest.mark.parametrize("row", ROWS, ids=[str(row["row"]) for row in ROWS])
def test_restricted_motions_are_the_diagonal_opposite(row: dict[str, Any]) -> None:
    wanted: set[str] = set()
    if row["pattern"] == "group_if_three":
        # prominent side = convex side = where it does not bend; it does not turn to the other side
        side = row["neutral"]
        wanted = {f"side_bending_{side}", f"rotation_{OTHER[side]}"}
    else:
        # an indeterminate row stands out on one side at both ends: a label of each kind
        labels = {"flexed": row["extension"], "extended": row["flexion"]}
        for kind, side in labels.items():
            if side != "symmetric":
                opposite = OTHER[side]
                wanted |= {SAGITTAL[kind], f"side_bending_{opposite}", f"rotation_{opposite}"}
    assert set(row["restricted"]) == wanted
    assert len(set(row["restricted"])) == len(row["restricted"])


@pytest.mark.parametrize("row", ROWS, ids=[str(row["row"]) for row in ROWS])
def test_the_failing_facet(row: dict[str, Any]) -> None:
    opens, closes = row["flexion"], OTHER[row["extension"]]
    wanted = {
        "none": "none",
        "flexed": f"{closes} cannot close",
        "extended": f"{opens} cannot open",
        "flexed_and_extended": f"{opens} neither opens nor closes",
        "indeterminate": f"{opens} cannot open and {closes} cannot close",
        "group_if_three": "none" if row["flexion"] == "symmetric" else "no single facet",
    }
    assert row["facet"] == wanted[row["pattern"]]


@pytest.mark.parametrize("row", ROWS, ids=[str(row["row"]) for row in ROWS])
def test_the_mirror_of_a_row_is_a_row(row: dict[str, Any]) -> None:
    mirror = BY_PLACE[tuple(OTHER[row[place]] for place in PLACES)]
    for key in set(row) - {"row"}:
        assert swapped(row[key]) == (
            sorted(mirror[key]) if isinstance(mirror[key], list) else mirror[key]
        ), key


def test_a_neutral_side_against_the_label_asks_to_palpate_again() -> None:
    asked = {row["row"] for row in ROWS if "palpate" in row["note"]}
    assert asked == {6, 8, 11, 16, 17, 21, 22, 24}
