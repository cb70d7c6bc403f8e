"""Exact values as engines see them: choices, amounts in whole steps, and why one is missing.

A value may be narrower than "unknown" and wider than exact: a birth year gives an age interval, two
readings that disagree give two options. A test on such a value is unknown where the possibilities
disagree (`Tri.UNKNOWN`), by strong Kleene logic.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, StrEnum


class Tri(Enum):
    """A Kleene truth value."""

    TRUE = 1
    FALSE = 0
    UNKNOWN = -1


@dataclass(frozen=True, slots=True)
class Choice:
    """One word of a closed list; several options when the record only narrows it."""

    options: tuple[str, ...]

    @property
    def exact(self) -> str | None:
        """The word, when there is only one."""
        return self.options[0] if len(self.options) == 1 else None


@dataclass(frozen=True, slots=True)
class Amount:
    """A number in whole steps of its finding, `low` to `high` inclusive; None is unbounded.

    A `date` finding is an Amount of proleptic Gregorian day ordinals.
    """

    low: int | None
    high: int | None

    @property
    def exact(self) -> int | None:
        """The number of steps, when it is one number."""
        return self.low if self.low is not None and self.low == self.high else None


class NotApplicable(Enum):
    """The finding does not apply to this case: every test on it is false."""

    NOT_APPLICABLE = "not_applicable"


NOT_APPLICABLE = NotApplicable.NOT_APPLICABLE

Value = Choice | Amount
Input = Choice | Amount | NotApplicable


class Missing(StrEnum):
    """Why there is no value. Shown to people, never read by rules."""

    NOT_ASKED = "not_asked"
    PATIENT_UNSURE = "patient_unsure"
    DECLINED = "declined"
    CANNOT_ASSESS = "cannot_assess"
    NOT_APPLICABLE = "not_applicable"
    STALE = "stale"
    UNREADABLE = "unreadable"
    CONFLICTING = "conflicting"


class Op(StrEnum):
    """The tests a leaf may make. `holds` is for flags, the last three for sets."""

    IS = "is"
    IS_NOT = "is_not"
    IN = "in"
    AT_LEAST = "at_least"
    MORE_THAN = "more_than"
    AT_MOST = "at_most"
    LESS_THAN = "less_than"
    KNOWN = "known"
    HOLDS = "holds"
    HAS = "has"
    HAS_ANY_OF = "has_any_of"
    EMPTY = "empty"


NUMERIC_OPS = frozenset({Op.AT_LEAST, Op.MORE_THAN, Op.AT_MOST, Op.LESS_THAN})


def test_choice(value: Choice, op: Op, words: tuple[str, ...], order: tuple[str, ...]) -> Tri:
    """`value op words` for choices; numeric operators use positions in `order`.

    `words` holds one word for every operator but IN. Words outside `order` are only legal for
    IS, IS_NOT, IN, which compare by equality.
    """
    if op is Op.KNOWN:
        return Tri.TRUE
    if op in NUMERIC_OPS:
        places = [order.index(word) for word in value.options]
        return test_amount(Amount(min(places), max(places)), op, order.index(words[0]))
    inside = [option in words for option in value.options]
    if all(inside):
        answer = Tri.TRUE
    elif not any(inside):
        answer = Tri.FALSE
    else:
        return Tri.UNKNOWN
    if op in (Op.IS, Op.IN):
        # `is` one word is only certain when the value is that word
        return answer
    if op is Op.IS_NOT:
        return Tri.FALSE if answer is Tri.TRUE else Tri.TRUE
    raise ValueError(f"operator {op} does not test a choice")


def test_amount(value: Amount, op: Op, limit: int) -> Tri:
    """`value op limit` in whole steps; unknown where the interval straddles the limit."""
    low, high = value.low, value.high
    if op is Op.KNOWN:
        return Tri.TRUE
    if op is Op.AT_LEAST:
        return _between(low is not None and low >= limit, high is not None and high < limit)
    if op is Op.MORE_THAN:
        return _between(low is not None and low > limit, high is not None and high <= limit)
    if op is Op.AT_MOST:
        return _between(high is not None and high <= limit, low is not None and low > limit)
    if op is Op.LESS_THAN:
        return _between(high is not None and high < limit, low is not None and low >= limit)
    raise ValueError(f"operator {op} does not test a number")


def _between(surely: bool, surely_not: bool) -> Tri:
    if surely:
        return Tri.TRUE
    return Tri.FALSE if surely_not else Tri.UNKNOWN
