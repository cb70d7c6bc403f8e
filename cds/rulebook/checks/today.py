"""A test of the session in progress stands only where there is one.

`today.*` does not apply before a session or on contact; a rule that does not say which moment it
speaks of would quietly be false there, and its author would not know.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book
from cds.rulebook.checks.subjects import measured, problem
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source
from cds.vocabulary.model import MOMENTS, Feature
from cds.vocabulary.values import Op

IN_SESSION = frozenset({"during_session", "after_session"})
OUTSIDE = frozenset(MOMENTS) - IN_SESSION


def check(book: Book) -> Iterator[Problem]:
    """Tests of `today.` that no `all` with a test of moment stands above."""
    for rule in book.rules.values():
        yield from _walk(book, rule.when, False)


def _walk(book: Book, condition: Condition, covered: bool) -> Iterator[Problem]:
    if isinstance(condition, Leaf):
        source = measured(book, condition)
        if isinstance(source, Feature) and source.today and not covered:
            message = f"`{condition.name}` is tested without a test of `moment`"
            yield problem("today-without-moment", message, condition.place)
        return
    inside = covered or (condition.group is Group.ALL and implies_session(condition))
    for member in condition.members:
        yield from _walk(book, member, inside)


def implies_session(condition: Condition) -> bool:
    """Whether the condition can only be true during or after a session, by its tests of moment."""
    if isinstance(condition, Leaf):
        wanted = frozenset(condition.words)
        return _moment(condition) and condition.op in (Op.IS, Op.IN) and wanted <= IN_SESSION
    if condition.group is Group.NONE:
        return any(_denies_outside(member) for member in condition.members)
    implying = sum(implies_session(member) for member in condition.members)
    if condition.group is Group.ALL:
        return implying > 0
    # `k` true members of `n` always include one that implies it if fewer than `k` do not
    wanted_true = condition.at_least if condition.group is Group.SOME else 1
    return len(condition.members) - implying < wanted_true


def _denies_outside(condition: Condition | Members) -> bool:
    return (
        isinstance(condition, Leaf)
        and _moment(condition)
        and condition.op is Op.IN
        and frozenset(condition.words) >= OUTSIDE
    )


def _moment(leaf: Leaf) -> bool:
    return leaf.source is Source.FEATURE and leaf.name == "moment"
