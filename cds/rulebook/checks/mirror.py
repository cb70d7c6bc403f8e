"""The compiled book and its mirror image are the same, compared exactly, rule by rule.

Every instance of a rule must be the mirror of its instance for the other side (a rule that does not
run per side: of itself): the same gates over mirrored tests, the same mirrored writes. Conclusions
are compared by name: that what writes them is symmetric is what the same comparison shows of their
writers. A rule with `asymmetric` is excused.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from cds.problems import Problem, sorted_problems
from cds.rulebook.checks.sides import mirrored_word
from cds.rulebook.checks.subjects import problem
from cds.rulebook.program import GateNode, Instance, LeafNode, Program, Writes
from cds.vocabulary.values import NUMERIC_OPS

Shape = tuple[object, ...]


class _Key(NamedTuple):
    rule: str
    level: str | None
    side: str | None


def mirror_problems(program: Program) -> list[Problem]:
    """A problem for each rule that is not its own mirror."""
    image = _Image(program)
    instances = {_Key(i.rule, i.level, i.side): i for i in program.instances}
    found: dict[str, Problem] = {}
    for key, instance in instances.items():
        rule = program.rules[key.rule]
        if rule.asymmetric is not None or key.rule in found:
            continue
        other = instances.get(key._replace(side=mirrored_word(key.side) if key.side else None))
        why = None
        if other is None:
            why = "has no instance for the other side"
        elif image.condition(instance, True) != image.condition(other, False):
            why = "tests left and right differently"
        elif image.writes(instance, True) != image.writes(other, False):
            why = "writes left and right differently"
        if why is not None:
            found[key.rule] = problem("mirror-unequal", f"rule `{key.rule}` {why}", rule.place)
    return list(sorted_problems(found.values()))


class _Image:
    """Shapes of conditions and writes, as they are or with left and right exchanged."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.leaves = {node.node: node for node in program.leaves}
        self.gates = {node.node: node for node in program.gates}
        self.names = {**program.findings, **program.features}

    def condition(self, instance: Instance, mirrored: bool) -> Shape:
        """The shape of an instance's own condition, down to inputs and conclusions."""
        read: dict[int, Shape] = {}
        for test in instance.reads:
            if test.slot is None:
                continue
            slot = self.program.slots[test.slot]
            words = (self._value(word, mirrored) for word in test.leaf.words)
            # sides of the leaf as written are those of its instance
            words = (_grounded(word, instance.side, mirrored) for word in words)
            name = mirrored_word(slot.name) if mirrored else slot.name
            read[_node(test.literal)] = ("conclusion", name, test.leaf.op, *sorted(words))
        return self._shape(instance.root, read, mirrored)

    def writes(self, instance: Instance, mirrored: bool) -> tuple[frozenset[Shape], ...]:
        """What an instance writes, fired and open."""
        return self._written(instance.then, mirrored), self._written(instance.holds, mirrored)

    def _written(self, writes: Iterable[Writes], mirrored: bool) -> frozenset[Shape]:
        found = []
        for write in writes:
            slot = self.program.slots[write.slot]
            name = mirrored_word(slot.name) if mirrored else slot.name
            value = self._value(slot.values[write.value], mirrored)
            found.append((name, value, write.within))
        return frozenset(found)

    def _shape(self, literal: int, read: dict[int, Shape], mirrored: bool) -> Shape:
        node, sign = _node(literal), literal >= 0
        if node in read:
            return (sign, *read[node])
        leaf = self.leaves.get(node)
        if leaf is not None:
            return (sign, *self._test(leaf, mirrored))
        gate: GateNode = self.gates[node]
        members = [self._shape(member, read, mirrored) for member in gate.members]
        return (sign, "gate", gate.need, *sorted(members, key=repr))

    def _test(self, leaf: LeafNode, mirrored: bool) -> Shape:
        # an order has a meaning only for comparisons; the mirror of an order is another order
        order = leaf.order if leaf.op in NUMERIC_OPS else ()
        if not mirrored:
            return ("test", leaf.input, leaf.op, leaf.limit, order, *sorted(leaf.words))
        bare, at, level = leaf.input.partition("@")
        other = mirrored_word(bare)
        name = other if other in self.names else bare
        source = self.names.get(bare)
        swap = dict(source.mirror) if source is not None else {}
        words = sorted(swap.get(word, word) for word in leaf.words)
        order = tuple(swap.get(word, word) for word in order)
        return ("test", name + at + level, leaf.op, leaf.limit, order, *words)

    @staticmethod
    def _value(word: str, mirrored: bool) -> str:
        return mirrored_word(word) if mirrored else word


def _node(literal: int) -> int:
    return literal if literal >= 0 else ~literal


def _grounded(word: str, side: str | None, mirrored: bool) -> str:
    """`{side}` as the side of the instance, mirrored where the image is."""
    if side is None or word not in ("{side}", "{other_side}"):
        return word
    meant = side if word == "{side}" else mirrored_word(side)
    return mirrored_word(meant) if mirrored else meant
