"""The table of published figures names every test file here, and only those that are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
STATUSES = {"read", "second_hand", "derived", "memory", "common_practice"}
FILES = sorted(path.name for path in HERE.glob("test_*.py"))


def rows(text: str) -> list[list[str]]:
    """Cells of the first table, without its head."""
    table = text.split("\n\n## ")[0].splitlines()
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in table if "|" in line]
    return [row for row in cells if not set("".join(row)) <= {"-"}][1:]


ROWS = rows((HERE / "README.md").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", FILES)
def test_a_test_file_has_a_row(name: str) -> None:
    assert name in {row[2] for row in ROWS}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[2] + ": " + row[1][:30])
def test_a_row_is_whole(row: list[str]) -> None:
    assert len(row) == 4
    source, figure, test, status = row
    assert source and figure
    assert test in FILES
    assert status in STATUSES


def test_rows_are_read_as_written() -> None:
    text = (
        "# T\n\n| S | F | T | St |\n|---|---|---|---|\n| a | b | c | d |\n\n## More\n\n| x | y |\n"
    )
    assert rows(text) == [["a", "b", "c", "d"]]


def test_no_row_is_written_twice() -> None:
    written = [tuple(row) for row in ROWS]
    assert len(written) == len(set(written))


def test_a_file_with_figures_says_its_sources() -> None:
    """A year, a project with a licence or a teaching page; cases name theirs in fixtures."""
    for name in set(FILES) - {"test_readme.py", "test_published_cases.py"}:
        text = (HERE / name).read_text(encoding="utf-8")
        assert re.search(r"\b(19|20)\d\d\b|Apache-2\.0|teaching page", text), name
