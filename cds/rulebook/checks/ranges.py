"""Which answers make a test true, exactly: sets of words, and ranges of whole steps.

The two checks that ask whether tests can hold together (`reach`, `single`) stand on this. A test's
*allowed* set is every value for which it is true; two tests of one source with disjoint sets are
never true together. `None` in a range is unbounded.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from cds.rulebook.conditions import Leaf
from cds.vocabulary.values import NUMERIC_OPS, Op

Words = frozenset[str]


@dataclass(frozen=True, slots=True)
class Range:
    """Whole steps from `low` to `high` inclusive; empty where low is above high."""

    low: int | None = None
    high: int | None = None

    @property
    def empty(self) -> bool:
        """Whether no number is inside."""
        return self.low is not None and self.high is not None and self.low > self.high


Allowed = Words | Range


def words_allowed(leaf: Leaf, values: tuple[str, ...], negated: bool = False) -> Words | None:
    """The words of `values` for which the test is true (false, if negated); None: no such test."""
    if leaf.op is Op.KNOWN:
        return frozenset() if negated else frozenset(values)
    if leaf.op in NUMERIC_OPS:
        if not leaf.words or leaf.words[0] not in values:
            return None
        inside = _positions(leaf.op, values.index(leaf.words[0]), len(values))
        found = frozenset(values[index] for index in inside)
    elif leaf.op in (Op.IS, Op.IN):
        found = frozenset(leaf.words) & frozenset(values)
    elif leaf.op is Op.IS_NOT:
        found = frozenset(values) - frozenset(leaf.words)
    else:
        return None
    return frozenset(values) - found if negated else found


def _positions(op: Op, limit: int, count: int) -> range:
    if op is Op.AT_LEAST:
        return range(limit, count)
    if op is Op.MORE_THAN:
        return range(limit + 1, count)
    return range(limit + 1) if op is Op.AT_MOST else range(limit)


def steps_allowed(leaf: Leaf, limit: int, negated: bool = False) -> Range | None:
    """The whole steps for which a comparison with `limit` is true (false, if negated)."""
    op = leaf.op
    if op not in NUMERIC_OPS:
        return None
    upward = op in (Op.AT_LEAST, Op.MORE_THAN)
    edge = limit if op in (Op.AT_LEAST, Op.AT_MOST) else limit + (1 if upward else -1)
    if negated:
        return Range(high=edge - 1) if upward else Range(low=edge + 1)
    return Range(low=edge) if upward else Range(high=edge)


def plausible(low: Decimal | None, high: Decimal | None, step: Decimal) -> Range:
    """A declared range in whole steps."""
    return Range(
        None if low is None else int(low / step), None if high is None else int(high / step)
    )


def both(one: Allowed, other: Allowed) -> Allowed:
    """What both allow. Words never meet ranges: both are of one source."""
    if isinstance(one, Range) and isinstance(other, Range):
        lows = [edge for edge in (one.low, other.low) if edge is not None]
        highs = [edge for edge in (one.high, other.high) if edge is not None]
        return Range(max(lows, default=None), min(highs, default=None))
    if isinstance(one, frozenset) and isinstance(other, frozenset):
        return one & other
    raise TypeError("words and ranges have nothing in common")


def either(one: Allowed, other: Allowed) -> Allowed:
    """At least what either allows; for ranges the hull, which may be more."""
    if isinstance(one, Range) and isinstance(other, Range):
        if one.empty or other.empty:
            return other if one.empty else one
        low = None if one.low is None or other.low is None else min(one.low, other.low)
        high = None if one.high is None or other.high is None else max(one.high, other.high)
        return Range(low, high)
    if isinstance(one, frozenset) and isinstance(other, frozenset):
        return one | other
    raise TypeError("words and ranges have nothing in common")


def is_empty(allowed: Allowed) -> bool:
    """Whether nothing is allowed."""
    return allowed.empty if isinstance(allowed, Range) else not allowed
