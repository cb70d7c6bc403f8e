"""The Program: a rule book compiled and frozen. The waist of the project.

Engines, proofs, explanations and replay see only this, never YAML. The judge and prepare conditions
are one acyclic network of leaves and threshold gates; each rule is grounded per level and side into
instances whose root is a literal of that network.

A *node* is a leaf or a gate, numbered 0..n-1 so that every gate's members have smaller numbers. A
*literal* is a node number `n >= 0`, or `~n` for its negation (so `-1` is "not node 0").
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cds.rulebook.book import (
    Block,
    Card,
    Exercise,
    PolicyChoice,
    PositionalRow,
    Rule,
    SourceEntry,
    Text,
    VisitPart,
)
from cds.vocabulary.model import Careful, Combine, Conclusion, Feature, Finding, Ladder
from cds.vocabulary.values import Op

if TYPE_CHECKING:
    from cds.rulebook.conditions import Leaf


@dataclass(frozen=True, slots=True)
class LeafNode:
    """A test of one grounded input (`segment.provocation@L5`, `level@L5`, `path.up_to`).

    `words` and `limit` (whole steps) as in `cds.vocabulary.values`; `order` gives the order of the
    words of an ordered choice, else the finding's values.
    """

    node: int
    input: str
    op: Op
    words: tuple[str, ...]
    limit: int | None
    order: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GateNode:
    """True once `need` members are true, false once `len(members) - need + 1` are false.

    `need` 0 is constantly true, `need` above the number of members constantly false.
    """

    node: int
    need: int
    members: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Writes:
    """A grounded write: the slot's number and the value's position in the slot's values."""

    slot: int
    value: int
    within: str | None = None


@dataclass(frozen=True, slots=True)
class Instance:
    """A rule for one level and side (None where the rule has none)."""

    number: int
    rule: str
    level: str | None
    side: str | None
    root: int
    then: tuple[Writes, ...]
    holds: tuple[Writes, ...]
    prepare: bool
    reads: tuple[ReadLeaf, ...]


@dataclass(frozen=True, slots=True)
class ReadLeaf:
    """A leaf of an instance's own condition: the written leaf, its literal and what it stands on.

    One of `input` (a grounded input) and `slot` (a slot number; the leaf reads a conclusion) is
    set, or neither for a policy leaf folded to a constant.
    """

    leaf: Leaf
    literal: int
    input: str | None
    slot: int | None


@dataclass(frozen=True, slots=True)
class Slot:
    """One place where rules write. `writers` are instance numbers, by `then` or `holds`."""

    number: int
    name: str
    conclusion: str
    key: str | None
    level: str | None
    combine: Combine
    careful: Careful
    values: tuple[str, ...]
    otherwise: str | None
    writers: tuple[int, ...]


@dataclass(frozen=True)
class Program:
    """A checked, grounded rule book.

    `digest` is SHA-256 over the canonical form of everything that has meaning: comments, key order
    and file names do not change it.
    """

    language: int
    title: str
    scope_notice: tuple[str, ...]
    digest: str
    findings: Mapping[str, Finding]
    features: Mapping[str, Feature]
    conclusions: Mapping[str, Conclusion]
    ladder: Ladder
    policy: Mapping[str, PolicyChoice]
    blocks: Mapping[str, Block]
    rules: Mapping[str, Rule]
    cards: Mapping[str, Card]
    exercises: Mapping[str, Exercise]
    texts: Mapping[str, Text]
    sources: Mapping[str, SourceEntry]
    positional: tuple[PositionalRow, ...]
    parameters: Mapping[str, int]
    destinations: Mapping[str, str]
    concerns: Mapping[str, str]
    leaves: tuple[LeafNode, ...]
    gates: tuple[GateNode, ...]
    nodes: int
    instances: tuple[Instance, ...]
    slots: tuple[Slot, ...]
    slot_numbers: Mapping[str, int]
    stages: tuple[tuple[str, ...], ...]
    """Rule ids by stage: a rule stands in a later stage than all whose conclusions it reads."""
    visit: tuple[VisitPart, ...] = ()
    """The parts of a visit in their order; empty where the book does not say."""
