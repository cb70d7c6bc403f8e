"""A visit asks nothing twice: a finding by its name, or by the block it belongs to.

What no part of the visit names is asked after the others; that is no problem.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book
from cds.rulebook.checks.subjects import problem


def check(book: Book) -> Iterator[Problem]:
    """Findings that stand in two places."""
    asked: dict[str, str] = {}
    for part in book.visit:
        for name in part.asks:
            block = book.blocks.get(name)
            for member in (name,) if block is None else block.findings:
                if member in asked:
                    message = f"`{member}` is asked in `{asked[member]}` and again in `{part.id}`"
                    yield problem("twice-in-visit", message, part.place)
                asked[member] = part.id
