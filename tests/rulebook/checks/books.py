"""Small books for tests of single checks: the base book with one text laid over it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from pathlib import Path

from cds.problems import Problem
from cds.rulebook.book import Book
from cds.rulebook.reading import read_folder, read_text
from cds.rulebook.shape import shape_book
from cds.rulebook.tree import Node

BASE = Path(__file__).parent.parent / "base"
HEAD = """language: 1
defaults: {owner: small-governance, approved: 2026-11-01, review_by: 2027-11-01}
"""
END = """
    because: Made up.
    evidence: [{source: made-up-2020}]
"""


@lru_cache(maxsize=1)
def _base() -> dict[str, Node]:
    return read_folder(BASE).files


def rule(body: str, name: str = "extra-rule") -> str:
    """One rule of a `rules` list; `body` is indented by four spaces."""
    return f"  - id: {name}\n    title: Extra rule\n{body.rstrip()}{END}"


def book_with(text: str = "") -> Book:
    """The base book and `text`, which must be well shaped."""
    files = dict(_base())
    if text:
        node, problems = read_text((HEAD + text).encode(), "extra.yaml")
        assert node is not None and not problems, problems
        files["extra.yaml"] = node
    book, problems = shape_book(files)
    assert book is not None, [str(problem) for problem in problems]
    return book


def codes(check: Callable[[Book], Iterable[Problem]], text: str) -> list[str]:
    """The codes that one check finds in the base book with `text`, in order."""
    return [problem.code for problem in check(book_with(text))]


def messages(check: Callable[[Book], Iterable[Problem]], text: str) -> list[str]:
    """The messages, likewise."""
    return [problem.message for problem in check(book_with(text))]
