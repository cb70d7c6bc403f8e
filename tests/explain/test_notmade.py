"""Labels not made: the first position that does not fit, by the table alone."""

from itertools import product
from pathlib import Path

import pytest

from cds.explain.notmade import LABELS, POSITIONS, Missed
from cds.features.table import PROMINENT
from cds.rulebook.vetting import load_program
from cds.vocabulary.case import Segment
from tests.explain.decided import all_decided

PROGRAM = load_program(Path(__file__).parents[2] / "rules")
MISSED = Missed(PROGRAM)


def said(flexion: str | None, neutral: str | None, extension: str | None, pattern: str,
         grades: dict[str, int] | None = None) -> dict[str, tuple[str, str]]:  # fmt: skip
    segment = Segment("L5", flexion, neutral, extension, grades or {})
    return {e["pattern"]: (e["position"], e["text"]) for e in MISSED.at(segment, pattern)}


def test_a_flexed_level_was_not_extended_because_of_flexion() -> None:
    found = said("symmetric", "left", "left", "flexed")
    assert "flexed" not in found
    assert found["extended"] == (
        "flexion", "Extended: in flexion it is even; it would have to be prominent on one side."
    )  # fmt: skip
    assert found["group"] == (
        "flexion",
        "Part of a group: in flexion it is even; it would have to be prominent on the left.",
    )


def test_an_even_level_is_flexed_if_it_stood_out_in_extension() -> None:
    found = said("symmetric", "symmetric", "symmetric", "none")
    assert found["flexed"] == (
        "extension", "Flexed: in extension it is even; it would have to be prominent on one side."
    )  # fmt: skip
    assert set(found) == set(LABELS)


def test_what_was_not_recorded_is_said_so() -> None:
    found = said("symmetric", "left", None, "unknown")
    assert found["flexed"] == ("extension", "Flexed: in extension nothing was recorded.")


def test_a_level_of_a_group_row_lacks_its_neighbours() -> None:
    found = said("left", "left", "left", "indeterminate")
    assert found["group"][0] == "neighbours"


def test_grades_are_read_as_the_table_reads_them() -> None:
    """Three grades more in extension: flexion counts as even, so the level is flexed."""
    found = said("left", "left", "left", "flexed", {"flexion": 0, "neutral": 1, "extension": 3})
    assert "in flexion it is even" in found["extended"][1]


@pytest.mark.parametrize("name", LABELS)
def test_the_position_named_really_does_not_fit(name: str) -> None:
    """Over all 27 ways: a nearest row needs another word there, and none an earlier position."""
    label = LABELS[name][0]
    rows = [(r.flexion, r.neutral, r.extension) for r in PROGRAM.positional if r.pattern == label]
    for recorded in product(PROMINENT, repeat=3):
        position, text = said(*recorded, pattern="")[name]
        if position == "neighbours":
            assert recorded in rows
            continue
        place = POSITIONS.index(position)
        assert recorded not in rows
        most = max(sum(a == b for a, b in zip(row, recorded, strict=True)) for row in rows)
        nearest = [
            row for row in rows
            if sum(a == b for a, b in zip(row, recorded, strict=True)) == most
        ]  # fmt: skip
        assert {row[place] for row in nearest} != {recorded[place]}, text
        for earlier in range(place):
            assert {row[earlier] for row in nearest} == {recorded[earlier]}, text


def test_every_palpated_level_says_which_labels_it_lacks() -> None:
    for item in all_decided():
        for segment in item.advice["segments"]:
            if "not_made" not in segment:
                assert segment["level"] == "unnamed"
                continue
            names = [entry["pattern"] for entry in segment["not_made"]]
            assert segment["pattern"] not in names
            assert len(names) == len(LABELS) - (segment["pattern"] in LABELS)
