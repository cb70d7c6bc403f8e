"""Whether a finding applies: strong Kleene logic over conditions, written as plainly as it is said.

Conditions belong to the rule language, a higher layer; what is needed of them is declared here as
protocols. Only conditions over findings are judged; a leaf on anything else is unknown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Protocol

from cds.vocabulary.model import Finding
from cds.vocabulary.values import (
    NUMERIC_OPS,
    Amount,
    Choice,
    Input,
    NotApplicable,
    Op,
    Tri,
    test_amount,
    test_choice,
)


class LeafLike(Protocol):
    """One test, as in `cds.rulebook.conditions.Leaf`."""

    @property
    def source(self) -> str:
        """`finding`, `feature`, `conclusion` or `policy`."""

    @property
    def name(self) -> str:
        """What is tested, as written."""

    @property
    def op(self) -> Op:
        """The test."""

    @property
    def words(self) -> tuple[str, ...]:
        """The operand's words."""

    @property
    def number(self) -> Decimal | None:
        """The operand's number."""


class GroupLike(Protocol):
    """A group, as in `cds.rulebook.conditions.Members`."""

    @property
    def group(self) -> str:
        """`all`, `any`, `none` or `some`."""

    @property
    def members(self) -> tuple[object, ...]:
        """The conditions in it."""

    @property
    def at_least(self) -> int:
        """How many must be true, for `some`."""


Lookup = Callable[[str], "tuple[Finding, Input | None] | None"]
"""A name as written -> the finding and its value (None: unknown); None: no such finding."""


def applies(condition: object, lookup: Lookup) -> Tri:
    """The truth of `condition` (a LeafLike or GroupLike)."""
    if hasattr(condition, "members"):
        return _group(condition, lookup)  # type: ignore[arg-type]
    return _leaf(condition, lookup)  # type: ignore[arg-type]


def names(condition: object) -> Iterator[str]:
    """The findings that a condition tests, as written, in order, with repeats."""
    for member in getattr(condition, "members", ()):
        yield from names(member)
    if getattr(condition, "source", None) == "finding":
        yield condition.name  # type: ignore[attr-defined]


def _group(group: GroupLike, lookup: Lookup) -> Tri:
    found = [applies(member, lookup) for member in group.members]
    true, false = found.count(Tri.TRUE), found.count(Tri.FALSE)
    if group.group == "all":
        need = len(found)
    elif group.group == "some":
        need = group.at_least
    else:
        need = 1
    if true >= need:
        answer = Tri.TRUE
    elif false >= len(found) - need + 1:
        answer = Tri.FALSE
    else:
        return Tri.UNKNOWN
    if group.group == "none":
        return Tri.FALSE if answer is Tri.TRUE else Tri.TRUE
    return answer


def _leaf(leaf: LeafLike, lookup: Lookup) -> Tri:
    looked = lookup(leaf.name) if leaf.source == "finding" else None
    if looked is None or looked[1] is None:
        return Tri.UNKNOWN
    finding, value = looked
    if isinstance(value, NotApplicable):
        return Tri.FALSE
    if isinstance(value, Choice):
        return test_choice(value, leaf.op, leaf.words, finding.values)
    if isinstance(value, Amount):
        if leaf.op is Op.KNOWN:
            return Tri.TRUE
        limit = None if leaf.number is None else finding.steps(leaf.number)
        if leaf.op in NUMERIC_OPS and limit is not None:
            return test_amount(value, leaf.op, limit)
    return Tri.UNKNOWN
