"""Looking up the table: unknown positions, grades, missing rows."""

from __future__ import annotations

import pytest

from cds.features.table import Table, conflicts, label
from tests.features.cases import ROWS, palpated

TABLE = Table(ROWS)


def numbers(table: Table, sides: str, **grades: int) -> list[int]:
    return [row.number for row in table.candidates(palpated("L5", sides, grades=grades))]


def test_known_positions_give_one_row() -> None:
    assert numbers(TABLE, "0LL") == [5]


def test_an_unknown_position_gives_every_row_it_could_be() -> None:
    assert numbers(TABLE, "0?L") == [2, 5, 8]
    assert numbers(TABLE, "???") == list(range(1, 28))


def test_a_missing_row_makes_the_level_unknown() -> None:
    table = Table(row for row in ROWS if row.number != 5)
    assert numbers(table, "0LL") == []
    assert numbers(table, "0?L") == []
    assert numbers(table, "00L") == [2]


@pytest.mark.parametrize(
    ("flexion", "extension", "row"),
    [(1, 3, 5), (3, 1, 13), (2, 2, 14), (1, 2, 14), (2, 1, 14)],
)
def test_grades_decide_outside_the_tie_band(flexion: int, extension: int, row: int) -> None:
    assert numbers(TABLE, "LLL", flexion=flexion, extension=extension) == [row]


def test_the_tie_band_can_be_narrowed() -> None:
    assert numbers(Table(ROWS, tie=0), "LLL", flexion=1, extension=2) == [5]
    assert numbers(Table(ROWS, tie=0), "LLL", flexion=2, extension=2) == [14]


def test_grades_change_nothing_where_the_sides_already_differ() -> None:
    assert numbers(TABLE, "L0R", flexion=1, extension=3) == [12]
    assert numbers(TABLE, "L00", flexion=1, extension=0) == [10]


def test_one_grade_alone_changes_nothing() -> None:
    assert numbers(TABLE, "LLL", flexion=3) == [14]


def test_labels_are_those_of_non_neutral_rows() -> None:
    found = {row.number: label(row) for row in ROWS}
    assert found[2] == ("flexed", "left", "none")
    assert found[12] == ("flexed_and_extended", "right", "left")
    assert {number for number, name in found.items() if name is None} == {
        1, 4, 7, 11, 14, 17, 21, 24, 27,
    }  # fmt: skip


def test_a_neutral_side_against_the_label_conflicts() -> None:
    rows = {row.number: row for row in ROWS}
    assert conflicts(rows[6])
    assert not conflicts(rows[5])
    assert not conflicts(rows[12])
