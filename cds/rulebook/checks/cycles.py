"""No rule waits for its own conclusion, through any number of others.

Edges run from everything a rule names, in `then` or `while_unknown`, to every rule that reads it.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book, Rule
from cds.rulebook.checks.circles import circles
from cds.rulebook.checks.subjects import (
    Slot,
    conclusion_leaves,
    problem,
    slot_read,
    slot_written,
    writes,
)


def check(book: Book) -> Iterator[Problem]:
    """Each circle of rules, shown with the conclusions that close it."""
    readers: dict[Slot, list[str]] = {}
    for rule in book.rules.values():
        for leaf in conclusion_leaves(rule):
            readers.setdefault(slot_read(leaf), []).append(rule.id)
    edges = {
        rule.id: tuple(sorted({r for w in writes(rule) for r in readers.get(slot_written(w), ())}))
        for rule in book.rules.values()
    }
    for circle in circles(edges):
        rules = [book.rules[name] for name in circle]
        steps = zip(rules, (*rules[1:], rules[0]), strict=True)
        shown = "".join(f"`{one.id}` → `{_link(one, other)}` → " for one, other in steps)
        message = f"rules stand on each other: {shown}`{circle[0]}`"
        yield problem("cycle", message, rules[0].place)


def _link(writer: Rule, reader: Rule) -> Slot:
    """The conclusion through which one rule leads to the next."""
    read = {slot_read(leaf) for leaf in conclusion_leaves(reader)}
    return next(slot for slot in map(slot_written, writes(writer)) if slot in read)
