"""The checks of a rule book, in the order in which they run, in one place."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from cds.problems import Problem, sorted_problems
from cds.rulebook.book import Book
from cds.rulebook.checks import (
    cycles,
    direction,
    evidence,
    holds,
    names,
    operands,
    phases,
    positional,
    reach,
    scopes,
    sides,
    single,
    texts,
    today,
    units,
    unused,
    visit,
    vocabulary,
)

Check = Callable[[Book], Iterable[Problem]]

PASSES: tuple[tuple[str, Check], ...] = (
    ("every name is declared", names.check),
    ("levels and sides stand only where there are any", scopes.check),
    ("tests and writes fit their sources", operands.check),
    ("units are UCUM", units.check),
    ("evidence, owner, dates, basis", evidence.check),
    ("findings, blocks and what voids them", vocabulary.check),
    ("nothing is asked twice in a visit", visit.check),
    ("the positional table is whole and symmetric", positional.check),
    ("what open rules hold", holds.check),
    ("judge before prepare", phases.check),
    ("no rule stands on itself", cycles.check),
    ("more care never leads to less", direction.check),
    ("single conclusions are exclusive", single.check),
    ("left and right alike", sides.check),
    ("today only in a session", today.check),
    ("placeholders", texts.check),
    ("every rule can fire", reach.check),
    ("nothing is unused", unused.check),
)
"""What each pass makes sure of, and its function. Each pass bears a book that others refuse."""


def check_book(book: Book) -> list[Problem]:
    """All problems of all passes, sorted by place. The mirror of the compiled book comes apart:
    `cds.rulebook.checks.mirror`."""
    return list(sorted_problems(found for _, check in PASSES for found in check(book)))
