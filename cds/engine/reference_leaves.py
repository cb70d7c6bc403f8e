"""Single tests for the oracle, by trying every possibility with two-valued comparison."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from cds.rulebook.book import PolicyChoice
from cds.rulebook.conditions import Leaf
from cds.vocabulary.model import Combine, Conclusion, Feature, Finding
from cds.vocabulary.values import Amount, Choice, Op, Tri


@dataclass(slots=True)
class Said:
    """Values that fired rules concluded, and values that open rules name."""

    fired: set[str]
    open: set[str]


def all_agree(results: Iterable[bool]) -> Tri:
    """True or false where every possibility says so, else unknown."""
    found = set(results)
    if len(found) == 2:
        return Tri.UNKNOWN
    return Tri.TRUE if found == {True} else Tri.FALSE


def compare(op: Op, value: float, limit: float) -> bool:
    """The four comparisons of plain numbers."""
    if op is Op.AT_LEAST:
        return value >= limit
    if op is Op.MORE_THAN:
        return value > limit
    if op is Op.AT_MOST:
        return value <= limit
    if op is Op.LESS_THAN:
        return value < limit
    raise ValueError(f"{op} compares no numbers")


def one_word(op: Op, value: str, words: tuple[str, ...], order: Sequence[str]) -> bool:
    """The test of one certain word."""
    if op in (Op.IS, Op.IN):
        return value in words
    if op is Op.IS_NOT:
        return value not in words
    return compare(op, order.index(value), order.index(words[0]))


def finding_passes(
    entry: Finding | Feature, value: Choice | Amount, leaf: Leaf, words: tuple[str, ...]
) -> Tri:
    """The test of a recorded finding or feature."""
    if isinstance(value, Choice):
        return all_agree(one_word(leaf.op, word, words, entry.values) for word in value.options)
    limit = leaf.number if leaf.number is not None else Decimal(words[0])
    # a comparison that both ends pass, or both fail, is passed or failed by all between
    low = -math.inf if value.low is None else float(value.low)
    high = math.inf if value.high is None else float(value.high)
    return all_agree(compare(leaf.op, end, float(limit / entry.step)) for end in (low, high))


def policy_passes(choice: PolicyChoice, leaf: Leaf, words: tuple[str, ...]) -> bool:
    """The test of a policy choice."""
    if leaf.op in (Op.IS, Op.IN, Op.IS_NOT):
        return one_word(leaf.op, str(choice.value), words, ())
    if isinstance(choice.value, int):
        return compare(leaf.op, choice.value, float(words[0] if words else leaf.number or 0))
    return one_word(leaf.op, choice.value, words, choice.values)


def conclusion_possibilities(
    conclusion: Conclusion, key: str | None, said: Said, op: Op, words: tuple[str, ...]
) -> list[bool]:
    """What the test would say for each result that could come of the fired and the open rules."""
    if conclusion.combine in (Combine.FLAG, Combine.SET, Combine.SINGLE):
        return _members(said, op, words)
    values = conclusion.values_of(key)
    return [
        compare(op, result, values.index(words[0])) for result in _results(conclusion, values, said)
    ]


def _members(said: Said, op: Op, words: tuple[str, ...]) -> list[bool]:
    """Decided where fired rules decide it; open where only open rules could."""
    if op in (Op.HOLDS, Op.EMPTY):
        decided, could = bool(said.fired), bool(said.open)
    else:
        decided = any(word in said.fired for word in words)
        could = any(word in said.open for word in words)
    if op in (Op.EMPTY, Op.IS_NOT):
        return [not decided] if decided or not could else [True, False]
    return [decided] if decided or not could else [True, False]


def _results(conclusion: Conclusion, values: tuple[str, ...], said: Said) -> set[int]:
    """Every position the scale could come to stand at.

    Decided rules give one bound. Open ones may push further, each alone or together; where nothing
    is decided yet, `otherwise` may hold too.
    """
    fired = [values.index(value) for value in said.fired]
    could = [values.index(value) for value in said.open]
    lowest = conclusion.combine is Combine.LOWEST
    if fired:
        bound = min(fired) if lowest else max(fired)
        return {bound, *(min(bound, c) if lowest else max(bound, c) for c in could)}
    if conclusion.otherwise is not None:
        start = values.index(conclusion.otherwise)
    else:
        start = len(values) - 1 if lowest else 0
    return {start, *could}
