"""What the chainer needs of a Program, worked out once: who listens, and what each answer decides.

A *code* is a literal as an index: `2 * node` for the node true, `2 * node + 1` for it false. Each
code has the gates whose count towards true it lowers, and those whose count towards false.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.rulebook.ground import LEVEL_INPUT
from cds.rulebook.program import LeafNode, Program
from cds.vocabulary.values import (
    NOT_APPLICABLE,
    Amount,
    Choice,
    Input,
    Op,
    Tri,
    test_amount,
    test_choice,
)

Codes = tuple[int, ...]
WIDE = 3
"""More listeners than this are worth looking through for those that matter."""

Listeners = list[tuple[int, ...]]
"""By code: the gates that listen to it."""


def code_of(literal: int) -> int:
    """The code that says the literal is true; its denial is `code ^ 1`."""
    return 2 * literal if literal >= 0 else 2 * ~literal + 1


def leaf_truth(leaf: LeafNode, value: Input) -> Tri:
    """The test of one known input; what does not apply passes no test."""
    if value is NOT_APPLICABLE:
        return Tri.FALSE
    if isinstance(value, Choice):
        return test_choice(value, leaf.op, leaf.words, leaf.order)
    # numbers have no words: a leaf with no limit is `known`
    return test_amount(value, leaf.op, leaf.limit or 0)


class Tables:
    """Read-only tables of one program."""

    def __init__(self, program: Program) -> None:
        size = 2 * program.nodes
        raise_: list[list[int]] = [[] for _ in range(size)]
        lower: list[list[int]] = [[] for _ in range(size)]
        self.to_true = [0] * program.nodes
        self.to_false = [0] * program.nodes
        constant: list[int] = []
        for gate in program.gates:
            for member in gate.members:
                code = code_of(member)
                raise_[code].append(gate.node)
                lower[code ^ 1].append(gate.node)
            self.to_true[gate.node] = gate.need
            self.to_false[gate.node] = len(gate.members) - gate.need + 1
            if gate.need <= 0:
                constant.append(2 * gate.node)
            elif gate.need > len(gate.members):
                constant.append(2 * gate.node + 1)
        self.raises: Listeners = [tuple(gates) for gates in raise_]
        self.lowers: Listeners = [tuple(gates) for gates in lower]
        self.wide_raises = _wide(self.raises)
        self.wide_lowers = _wide(self.lowers)
        self.constant = tuple(constant)
        asked: dict[str | None, set[int]] = {}
        for instance in program.instances:
            nodes = asked.setdefault(instance.level, set())
            for literal in (instance.root, *(read.literal for read in instance.reads)):
                nodes.add(literal if literal >= 0 else ~literal)
        self.asked = {level: tuple(sorted(nodes)) for level, nodes in asked.items()}
        """By level: roots and tests of its instances, which an explanation may ask for."""
        self.levels: dict[str, int] = {}
        self.leaves: dict[str, tuple[LeafNode, ...]] = {}
        for leaf in program.leaves:
            name, _, level = leaf.input.partition("@")
            if name == LEVEL_INPUT:
                self.levels[level] = leaf.node
            else:
                self.leaves[leaf.input] = (*self.leaves.get(leaf.input, ()), leaf)
        self.steps = {name: _by_step(found) for name, found in self.leaves.items()}
        self.words = {name: _by_word(found) for name, found in self.leaves.items()}
        self.not_applicable = {
            name: tuple(2 * leaf.node + 1 for leaf in found) for name, found in self.leaves.items()
        }

    def decided(self, name: str, value: Input) -> Codes:
        """The codes that an input decides; none for an input that nothing tests."""
        if value is NOT_APPLICABLE:
            return self.not_applicable.get(name, ())
        if isinstance(value, Amount):
            return _reached(*self.steps.get(name, _NOTHING), value.low, value.high)
        if len(value.options) == 1:
            found = self.words.get(name, {}).get(value.options[0])
            if found is not None:
                return found
        return _codes(self.leaves.get(name, ()), value)


def _wide(listeners: Listeners) -> Codes:
    return tuple(code for code, gates in enumerate(listeners) if len(gates) > WIDE)


def _by_word(leaves: tuple[LeafNode, ...]) -> dict[str, Codes]:
    """For every word an exact choice may be: what it decides."""
    order = next((leaf.order for leaf in leaves if leaf.order), ())
    return {word: _codes(leaves, Choice((word,))) for word in order}


Steps = tuple[Codes, tuple[tuple[int, int, int], ...]]
"""Codes of what any number decides, and (first step reached, code if reached, code if not)."""

_NOTHING: Steps = ((), ())


def _by_step(leaves: tuple[LeafNode, ...]) -> Steps:
    """Every comparison as one question, whether the number reaches a step."""
    always: list[int] = []
    found: list[tuple[int, int, int]] = []
    for leaf in leaves:
        true, false = 2 * leaf.node, 2 * leaf.node + 1
        if leaf.limit is None:
            if leaf.op is Op.KNOWN:
                always.append(true)
        elif leaf.op is Op.AT_LEAST:
            found.append((leaf.limit, true, false))
        elif leaf.op is Op.MORE_THAN:
            found.append((leaf.limit + 1, true, false))
        elif leaf.op is Op.LESS_THAN:
            found.append((leaf.limit, false, true))
        else:
            found.append((leaf.limit + 1, false, true))
    return tuple(always), tuple(found)


def _reached(
    always: Codes, steps: Iterable[tuple[int, int, int]], low: int | None, high: int | None
) -> Codes:
    found = list(always)
    for step, reached, missed in steps:
        if low is not None and low >= step:
            found.append(reached)
        elif high is not None and high < step:
            found.append(missed)
    return tuple(found)


def _codes(leaves: Iterable[LeafNode], value: Input) -> Codes:
    found: list[int] = []
    for leaf in leaves:
        truth = leaf_truth(leaf, value)
        if truth is not Tri.UNKNOWN:
            found.append(2 * leaf.node + (truth is Tri.FALSE))
    return tuple(found)
