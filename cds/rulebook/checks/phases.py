"""Judge rules never see the path or what is prepared after it; prepare rules never judge."""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book, Phase, Rule, Write
from cds.rulebook.checks.subjects import concluded, problem, slot_read
from cds.rulebook.conditions import Leaf, Source, leaves
from cds.vocabulary.computed import PATH_FEATURES
from cds.vocabulary.model import Careful

AFTER_JUDGING = ("limit", "target")
"""Conclusions that only the resolver and prepare rules read."""

JUDGED = ("next_step",)
"""Neutral conclusions that still belong to judging: a next step may share or give up care."""


def check(book: Book) -> Iterator[Problem]:
    """Reads and writes across the two phases."""
    prepared = {
        (write.conclusion, write.key): rule.id
        for rule in book.rules.values()
        if rule.phase is Phase.PREPARE
        for write in rule.then + rule.holds
        if not _judged(book, write)  # those are told where they are written
    }
    for rule in book.rules.values():
        if rule.phase is Phase.PREPARE:
            yield from _prepare(book, rule)
            continue
        for leaf in leaves(rule.when):
            yield from _read(book, rule, leaf, prepared)
        for write in rule.then + rule.holds:
            conclusion = book.conclusions.get(write.conclusion)
            if conclusion is not None and conclusion.prepare_only:
                message = f"judge rule `{rule.id}` writes `{write.conclusion}`"
                yield problem("judge-writes-prepared", message, write.place)


def _read(
    book: Book, rule: Rule, leaf: Leaf, prepared: dict[tuple[str, str | None], str]
) -> Iterator[Problem]:
    if leaf.source is Source.FEATURE and leaf.name in PATH_FEATURES:
        message = f"judge rule `{rule.id}` reads `{leaf.name}`, which is set after it"
        yield problem("judge-reads-path", message, leaf.place)
        return
    conclusion = concluded(book, leaf)
    if conclusion is None:
        return
    slot = slot_read(leaf)
    if conclusion.name in AFTER_JUDGING:
        message = f"judge rule `{rule.id}` reads `{leaf.name}`"
        yield problem("judge-reads-path", message, leaf.place)
    elif conclusion.prepare_only or (slot.conclusion, slot.key) in prepared:
        writer = prepared.get((slot.conclusion, slot.key))
        by = f", which prepare rule `{writer}` writes" if writer else ""
        message = f"judge rule `{rule.id}` reads `{leaf.name}`{by}"
        yield problem("judge-reads-prepared", message, leaf.place)


def _prepare(book: Book, rule: Rule) -> Iterator[Problem]:
    for write in rule.then + rule.holds:
        if _judged(book, write):
            message = f"prepare rule `{rule.id}` writes `{write.conclusion}`"
            yield problem("prepare-refers-or-limits", message, write.place)


def _judged(book: Book, write: Write) -> bool:
    """Whether only judge rules may write it."""
    conclusion = book.conclusions.get(write.conclusion)
    return conclusion is not None and (
        conclusion.careful is not Careful.NEUTRAL or conclusion.name in JUDGED
    )
