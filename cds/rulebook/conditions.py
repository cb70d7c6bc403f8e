"""Conditions as clinicians write them: threshold groups over leaves, with their places.

`all` needs every member, `any` one, `some` at least k, and `none` is "not any". Each is true, false
or unknown by strong Kleene logic. Leaves test one finding, feature, conclusion or policy choice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from cds.problems import Place
from cds.vocabulary.values import Op


class Source(StrEnum):
    """What a leaf tests."""

    FINDING = "finding"
    FEATURE = "feature"
    CONCLUSION = "conclusion"
    POLICY = "policy"


class Group(StrEnum):
    """How the members of a group combine."""

    ALL = "all"
    ANY = "any"
    NONE = "none"
    SOME = "some"


@dataclass(frozen=True, slots=True)
class Leaf:
    """One test. `name` as written (`segment.provocation`, `limit.thrust`, `today.spread`).

    `words` are the operand's words (one, or several for IN / HAS_ANY_OF), `number` a decimal
    operand for numeric sources. `policy` names the policy value that stood for the operand.
    """

    source: Source
    name: str
    op: Op
    words: tuple[str, ...] = ()
    number: Decimal | None = None
    policy: str | None = None
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Members:
    """A group of conditions. `at_least` is only for SOME."""

    group: Group
    members: tuple[Condition, ...]
    at_least: int = 0
    place: Place | None = field(default=None, compare=False)


Condition = Leaf | Members


def leaves(condition: Condition) -> Iterator[Leaf]:
    """Every leaf, in written order."""
    if isinstance(condition, Leaf):
        yield condition
    else:
        for member in condition.members:
            yield from leaves(member)


def need(group: Members) -> int:
    """How many members must be true for the group (for NONE: for the `any` it denies)."""
    if group.group is Group.ALL:
        return len(group.members)
    if group.group is Group.SOME:
        return group.at_least
    return 1
