"""A folder to a book, or all its problems."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from cds.problems import RuleBookError
from cds.rulebook.load import book_of, load_book
from cds.rulebook.reading import read_folder

BASE = Path(__file__).parent / "base"


def test_base_loads() -> None:
    book, problems = book_of(read_folder(BASE))
    assert problems == [] and book == load_book(BASE)


def test_reading_and_shape_are_told_together_and_once_per_place(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    (tmp_path / "more.yaml").write_text(
        "language: 1\nparameters: {pain_rise: 1_0}\nfindigns: {}\n", encoding="utf-8"
    )
    with pytest.raises(RuleBookError) as raised:
        load_book(tmp_path)
    assert [problem.code for problem in raised.value.problems] == [
        "yaml-bad-number", "unknown-section",
    ]  # fmt: skip


def test_an_unread_file_keeps_shape_silent(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    (tmp_path / "ladder.yaml").write_text("ladder: {", encoding="utf-8")
    with pytest.raises(RuleBookError) as raised:
        load_book(tmp_path)
    assert {problem.code for problem in raised.value.problems} == {"yaml-syntax"}


def test_case_tests_are_no_rules(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    (tmp_path / "tests").mkdir()
    (tmp_path / "tests" / "a.yaml").write_text("case: {}\n", encoding="utf-8")
    assert load_book(tmp_path) == load_book(BASE)
