"""From a checked Book to a frozen Program: rules grounded, conditions made one network of gates.

The Program is a function of what has meaning alone (`compile_normal`): two books with the same
digest compile to equal Programs, so the order of files, rules and keys never changes an outcome.
Rules are compiled stage by stage, so the roots of all writers of a conclusion stand before the
first test of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from cds.rulebook.book import Book, Phase, PolicyChoice, Rule
from cds.rulebook.compile_digest import book_digest
from cds.rulebook.compile_network import Network
from cds.rulebook.compile_normal import normal_book
from cds.rulebook.compile_slots import make_slots, read_slot
from cds.rulebook.compile_stages import stages_of
from cds.rulebook.conditions import Condition, Group, Leaf, Source, leaves, need
from cds.rulebook.ground import (
    LEVEL_INPUT,
    PATH_READY,
    GroundWrite,
    SlotKey,
    ground_write,
    input_at,
    leaf_at,
    places_of,
    slot_read,
)
from cds.rulebook.program import Instance, Program, ReadLeaf, Slot, Writes
from cds.vocabulary.model import Feature, Finding, at_level
from cds.vocabulary.values import Amount, Choice, Op, Tri, test_amount, test_choice


@dataclass(frozen=True, slots=True)
class _Standing:
    """A rule at one level and side, before its condition is built."""

    number: int
    rule: Rule
    level: str | None
    side: str | None
    then: tuple[GroundWrite, ...]
    holds: tuple[GroundWrite, ...]


def compile_book(book: Book) -> Program:
    """The Program of a book that passed its checks.

    A book that did not may raise `ValueError` or `KeyError`.
    """
    return _Compiler(book).program()


def policy_test(choice: PolicyChoice, leaf: Leaf) -> bool:
    """Whether the choice made by local governance passes the test."""
    if isinstance(choice.value, int):
        limit = int(leaf.number if leaf.number is not None else leaf.words[0])
        if leaf.op in (Op.IS, Op.IS_NOT, Op.IN):
            among = str(choice.value) in leaf.words
            return among is not (leaf.op is Op.IS_NOT)
        return test_amount(Amount(choice.value, choice.value), leaf.op, limit) is Tri.TRUE
    return test_choice(Choice((choice.value,)), leaf.op, leaf.words, choice.values) is Tri.TRUE


class _Compiler:
    def __init__(self, book: Book) -> None:
        self.book = normal_book(book)
        self.network = Network()
        self.standing = self._stand()
        self.slots = self._make_slots()
        self.concluding: dict[SlotKey, list[tuple[int, int]]] = {slot: [] for slot in self.slots}
        self.tests: dict[tuple[SlotKey, Op, tuple[str, ...]], int] = {}

    def program(self) -> Program:
        book = self.book
        stages = stages_of(self.book.rules)
        by_rule: dict[str, list[_Standing]] = {rule: [] for rule in self.book.rules}
        for standing in self.standing:
            by_rule[standing.rule.id].append(standing)
        built: dict[int, Instance] = {}
        for stage in stages:
            for rule in stage:
                for standing in by_rule[rule]:
                    built[standing.number] = self._instance(standing)
        slots = tuple(self.slots.values())
        return Program(
            language=book.language,
            title=book.title,
            scope_notice=book.scope_notice,
            digest=book_digest(book),
            findings=book.findings,
            features=book.features,
            conclusions=book.conclusions,
            destinations=book.destinations,
            concerns=book.concerns,
            ladder=book.ladder,
            policy=book.policy,
            blocks=book.blocks,
            rules=book.rules,
            cards=book.cards,
            exercises=book.exercises,
            texts=book.texts,
            sources=book.sources,
            positional=book.positional,
            parameters=book.parameters,
            leaves=tuple(self.network.leaves),
            gates=tuple(self.network.gates),
            nodes=self.network.nodes,
            instances=tuple(built[number] for number in range(len(built))),
            slots=slots,
            slot_numbers={slot.name: slot.number for slot in slots},
            stages=stages,
            visit=book.visit,
        )

    def _stand(self) -> list[_Standing]:
        found: list[_Standing] = []
        for rule in self.book.rules.values():
            for level, side in places_of(rule):
                then = tuple(w for write in rule.then for w in ground_write(write, level, side))
                holds = tuple(w for write in rule.holds for w in ground_write(write, level, side))
                found.append(_Standing(len(found), rule, level, side, then, holds))
        return found

    def _make_slots(self) -> dict[SlotKey, Slot]:
        """Every slot that a rule writes or reads."""
        writers: dict[SlotKey, list[int]] = {}
        for standing in self.standing:
            for write in (*standing.then, *standing.holds):
                writers.setdefault(write.slot, []).append(standing.number)
            for leaf in leaves(standing.rule.when):
                if leaf.source is Source.CONCLUSION:
                    writers.setdefault(slot_read(leaf.name, standing.level), [])
        return make_slots(self.book.conclusions, writers)

    def _instance(self, standing: _Standing) -> Instance:
        rule, level, side = standing.rule, standing.level, standing.side
        prepare = rule.phase is Phase.PREPARE
        reads: list[ReadLeaf] = []
        parts = [self._condition(rule.when, level, side, reads)]
        if level is not None:
            parts.append(self.network.leaf(at_level(LEVEL_INPUT, level), Op.IS, ("yes",)))
        if prepare:
            parts.append(self.network.leaf(PATH_READY, Op.KNOWN))
        root = self.network.all_of(parts)
        then = tuple(self._writes(write) for write in standing.then)
        for ground, write in zip(standing.then, then, strict=True):
            self.concluding[ground.slot].append((write.value, root))
        return Instance(
            number=standing.number,
            rule=rule.id,
            level=level,
            side=side,
            root=root,
            then=then,
            holds=tuple(self._writes(write) for write in standing.holds),
            prepare=prepare,
            reads=tuple(reads),
        )

    def _writes(self, write: GroundWrite) -> Writes:
        slot = self.slots[write.slot]
        return Writes(slot.number, slot.values.index(write.value), write.within)

    def _condition(
        self, condition: Condition, level: str | None, side: str | None, reads: list[ReadLeaf]
    ) -> int:
        if isinstance(condition, Leaf):
            read = self._leaf(condition, level, side)
            reads.append(read)
            return read.literal
        members = [self._condition(member, level, side, reads) for member in condition.members]
        gate = self.network.at_least(need(condition), members)
        return ~gate if condition.group is Group.NONE else gate

    def _leaf(self, written: Leaf, level: str | None, side: str | None) -> ReadLeaf:
        leaf = leaf_at(written, side)
        if leaf.source is Source.POLICY:
            passed = policy_test(self.book.policy[leaf.name], leaf)
            return ReadLeaf(written, self.network.constant(passed), None, None)
        if leaf.source is Source.CONCLUSION:
            key = slot_read(leaf.name, level)
            slot = self.slots[key]
            test = (key, leaf.op, leaf.words)
            literal = self.tests.get(test)
            if literal is None:
                literal = read_slot(self.network, slot, self.concluding[key], leaf)
                self.tests[test] = literal
            return ReadLeaf(written, literal, None, slot.number)
        name = input_at(leaf.name, level)
        return ReadLeaf(written, self._test(leaf, name), name, None)

    def _test(self, leaf: Leaf, name: str) -> int:
        entries: Mapping[str, Finding | Feature] = (
            self.book.findings if leaf.source is Source.FINDING else self.book.features
        )
        entry = entries[leaf.name]
        if leaf.op is Op.KNOWN:
            return self.network.leaf(name, Op.KNOWN, (), None, entry.values)
        if not entry.numeric:
            words = tuple(sorted(set(leaf.words)))
            return self.network.leaf(name, leaf.op, words, None, entry.values)
        number = leaf.number if leaf.number is not None else Decimal(leaf.words[0])
        limit = entry.steps(number)
        if limit is None:
            raise ValueError(f"the operand for `{leaf.name}` is not a whole number of steps")
        return self.network.leaf(name, leaf.op, (), limit)
