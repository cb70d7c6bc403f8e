"""Names of one level, of neighbouring levels and of a side stand only where there is one."""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book, Rule, Write
from cds.rulebook.checks.subjects import (
    SEGMENT,
    SIDE_WORDS,
    concluded,
    finding_condition,
    problem,
    slot_read,
)
from cds.rulebook.conditions import Leaf, leaves
from cds.vocabulary.model import Scope


def check(book: Book) -> Iterator[Problem]:
    """Levels and sides outside the rules that run once per level or side; scopes of conclusions."""
    for finding in book.findings.values():
        condition = finding_condition(finding)
        if condition is None:
            continue
        for leaf in leaves(condition):
            if leaf.name.startswith(SEGMENT) and finding.scope is Scope.CASE:
                yield problem(
                    "segment-outside",
                    f"`{finding.name}` is of the whole case and cannot depend on `{leaf.name}`",
                    leaf.place,
                    "test findings of the whole case, or make it a finding of one level",
                )
            yield from _side_words(leaf.words, leaf, False)
    for rule in book.rules.values():
        for leaf in leaves(rule.when):
            yield from _leaf(book, rule, leaf)
        for write in rule.then + rule.holds:
            yield from _write(book, rule, write)


def _leaf(book: Book, rule: Rule, leaf: Leaf) -> Iterator[Problem]:
    yield from _side_words(leaf.words, leaf, "side" in rule.for_each)
    if leaf.name.startswith(SEGMENT) and "segment" not in rule.for_each:
        yield problem(
            "segment-outside", f"`{leaf.name}` outside a rule with `for_each: segment`", leaf.place
        )
    conclusion = concluded(book, leaf)
    if conclusion is not None:
        segment = slot_read(leaf).segment
        wanted = Scope.SEGMENT if segment else Scope.CASE
        if wanted not in conclusion.scopes:
            yield problem("wrong-scope", _scope_message(conclusion.name, segment), leaf.place)


def _write(book: Book, rule: Rule, write: Write) -> Iterator[Problem]:
    yield from _side_words((write.value,), write, "side" in rule.for_each)
    if write.reach != "case" and "segment" not in rule.for_each:
        prefix = "adjacent" if write.reach == "adjacent" else "segment"
        message = f"`{prefix}.{write.conclusion}` outside a rule with `for_each: segment`"
        yield problem("segment-outside", message, write.place)
    conclusion = book.conclusions.get(write.conclusion)
    if conclusion is not None:
        segment = write.reach != "case"
        if (Scope.SEGMENT if segment else Scope.CASE) not in conclusion.scopes:
            yield problem("wrong-scope", _scope_message(conclusion.name, segment), write.place)


def _scope_message(name: str, segment: bool) -> str:
    if segment:
        return f"`{name}` is of the whole case, there is no `segment.{name}`"
    return f"`{name}` is of one level, write `segment.{name}`"


def _side_words(words: tuple[str, ...], at: Leaf | Write, sided: bool) -> Iterator[Problem]:
    if sided:
        return
    for word in words:
        if word in SIDE_WORDS:
            message = f"`{word}` outside a rule with `for_each: side`"
            yield problem("side-outside", message, at.place)
