"""The second translation: from rules as written to dual-rail facts and positive rules.

It reads what the deciding engine's network was compiled from, and nothing of that network: no
leaves, gates, slots or literals. Of the compiled part it uses which number a rule has at which
level and side. So a mistake of one translation shows as a disagreement. Whatever a rule holds while
unknown is not asked: readers never see a held value.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from cds.engine.durable_names import Namer
from cds.engine.durable_rails import FALSE, NEVER, TRUE, Derivation, RailMaker, Rails
from cds.rulebook.book import Phase, Write
from cds.rulebook.conditions import Condition, Group, Leaf, Source
from cds.rulebook.program import Instance, Program
from cds.vocabulary.model import LEVELS, Combine, Conclusion
from cds.vocabulary.values import Op

LIKE_AT_LEAST = {Op.AT_LEAST: 0, Op.LESS_THAN: 0, Op.MORE_THAN: 1, Op.AT_MOST: 1}
"""Comparison -> how far above its operand the threshold lies."""

DENIES = frozenset({Op.LESS_THAN, Op.AT_MOST, Op.IS_NOT, Op.EMPTY})
"""Tests that say the opposite of a threshold or a membership."""


@dataclass(frozen=True, slots=True)
class HostTest:
    """A test of one grounded input that the host answers.

    `level`: asked only where this level is listed. `low`: the operand in whole steps. `words`: the
    operand's words. `order`: the words of a choice, least first.
    """

    rails: Rails
    input: str
    op: Op
    level: str | None
    low: int | None
    words: tuple[str, ...]
    order: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Translation:
    """Everything the witness needs: `instances` by number, the level it stands at and its rails."""

    tests: tuple[HostTest, ...]
    levels: dict[str, Rails]
    derivations: tuple[Derivation, ...]
    instances: tuple[tuple[str | None, Rails], ...]
    names: tuple[str, ...]


def translate(program: Program) -> Translation:
    """The dual-rail form of a program."""
    return _Translator(program).translation()


Written = tuple[str, str | None]
"""A conclusion with its key (`limit.thrust`), and the level, None for the case."""


class _Translator:
    def __init__(self, program: Program) -> None:
        self.program = program
        self.names: list[str] = []
        self._namer = Namer()
        self.make = RailMaker(self._name)
        self.tests: dict[tuple[object, ...], HostTest] = {}
        self.levels: dict[str, Rails] = {}
        self.done: dict[int, Rails] = {}
        self.asked: dict[tuple[object, ...], Rails] = {}
        self.writers: dict[Written, list[tuple[Instance, str]]] = {}
        for instance in program.instances:
            for write in program.rules[instance.rule].then:
                name = f"{write.conclusion}.{write.key}" if write.key else write.conclusion
                word = _at_side(write.value, instance.side)
                for level in _reached(write, instance.level):
                    self.writers.setdefault((name, level), []).append((instance, word))

    def translation(self) -> Translation:
        found = tuple((i.level, self.instance(i)) for i in self.program.instances)
        return Translation(
            tests=tuple(self.tests.values()),
            levels=self.levels,
            derivations=tuple(self.make.derivations),
            instances=found,
            names=tuple(self.names),
        )

    def _name(self) -> str:
        self.names.append(self._namer.fresh())
        return self.names[-1]

    def _pair(self) -> Rails:
        return Rails(self._name(), self._name())

    def instance(self, instance: Instance) -> Rails:
        """A rule at its place. Its false rail leaves out "the level is not listed": whoever reads
        it asks for the level too (`_silent`), and so does the host."""
        found = self.done.get(instance.number)
        if found is not None:
            return found
        rule = self.program.rules[instance.rule]
        parts = [self.condition(rule.when, instance)]
        if rule.phase is Phase.PREPARE:
            parts.append(self._test(HostTest(TRUE, "path.up_to", Op.KNOWN, None, None, (), ())))
        true = [part.true for part in parts]
        if instance.level is not None:
            true.append(self._level(instance.level).true)
        found = Rails(self.make.all_of(true), self.make.any_of(part.false for part in parts))
        self.done[instance.number] = found
        return found

    def condition(self, condition: Condition, instance: Instance) -> Rails:
        if isinstance(condition, Leaf):
            return self._leaf(condition, instance)
        members = [self.condition(member, instance) for member in condition.members]
        if condition.group is Group.ALL:
            return self.make.at_least(len(members), members)
        if condition.group is Group.SOME:
            return self.make.at_least(condition.at_least, members)
        found = self.make.at_least(1, members)
        return found.denied() if condition.group is Group.NONE else found

    def _leaf(self, leaf: Leaf, instance: Instance) -> Rails:
        words = tuple(_at_side(word, instance.side) for word in leaf.words)
        if leaf.source is Source.POLICY:
            return self._policy(leaf, words)
        here = instance.level if leaf.name.startswith("segment.") else None
        if leaf.source is Source.CONCLUSION:
            return self._conclusion(leaf.name.removeprefix("segment."), here, leaf.op, words)
        program = self.program
        entries = program.findings if leaf.source is Source.FINDING else program.features
        entry = entries[leaf.name]
        low = None
        if entry.numeric and leaf.op is not Op.KNOWN:
            low = _whole(leaf.number, words, entry.step)
            words = ()
        name = f"{leaf.name}@{here}" if here is not None else leaf.name
        return self._test(HostTest(TRUE, name, leaf.op, here, low, words, tuple(entry.values)))

    def _test(self, wanted: HostTest) -> Rails:
        key = (wanted.input, wanted.op, wanted.low, wanted.words)
        found = self.tests.get(key)
        if found is None:
            found = self.tests[key] = HostTest(
                self._pair(), wanted.input, wanted.op, wanted.level, wanted.low, wanted.words,
                wanted.order,
            )  # fmt: skip
        return found.rails

    def _level(self, level: str) -> Rails:
        if level not in self.levels:
            self.levels[level] = self._pair()
        return self.levels[level]

    def _policy(self, leaf: Leaf, words: tuple[str, ...]) -> Rails:
        choice = self.program.policy[leaf.name]
        if leaf.op in LIKE_AT_LEAST:
            if isinstance(choice.value, int):
                place, start = choice.value, int(leaf.number or words[0])
            else:
                place, start = choice.values.index(choice.value), choice.values.index(words[0])
            passed = place >= start + LIKE_AT_LEAST[leaf.op]
        else:
            passed = str(choice.value) in words
        return TRUE if passed is not (leaf.op in DENIES) else FALSE

    def _conclusion(self, name: str, level: str | None, op: Op, words: tuple[str, ...]) -> Rails:
        key = (name, level, op, words)
        found = self.asked.get(key)
        if found is None:
            conclusion, _, part = name.partition(".")
            entry = self.program.conclusions[conclusion]
            writers = self.writers.get((name, level), [])
            if op in LIKE_AT_LEAST:
                found = self._threshold(entry, part or None, writers, op, words[0])
            else:
                found = self._spoken([i for i, w in writers if not words or w in words])
            if op in DENIES:
                found = found.denied()
            self.asked[key] = found
        return found

    def _spoken(self, writers: list[Instance]) -> Rails:
        """Some of them fired; or none of them ever will."""
        return Rails(
            self.make.any_of(self.instance(i).true for i in writers), self._silent(writers)
        )

    def _silent(self, writers: list[Instance]) -> str:
        """None of them ever fires, told level by level: at once where the level is not listed."""
        by_level: dict[str | None, list[str]] = {}
        for instance in writers:
            by_level.setdefault(instance.level, []).append(self.instance(instance).false)
        return self.make.all_of(
            self.make.any_of(
                (self._level(level).false if level is not None else NEVER, self.make.all_of(false))
            )
            for level, false in by_level.items()
        )

    def _threshold(
        self,
        entry: Conclusion,
        key: str | None,
        writers: list[tuple[Instance, str]],
        op: Op,
        word: str,
    ) -> Rails:
        """The conclusion stands at a place of its scale or above it, as said or as it is before."""
        values = entry.values_of(key)
        place = values.index(word) + LIKE_AT_LEAST[op]
        above = self._spoken([i for i, w in writers if values.index(w) >= place])
        below = self._spoken([i for i, w in writers if values.index(w) < place])
        lowest = entry.combine is Combine.LOWEST
        mild = values[-1] if lowest else values[0]
        before = mild if entry.otherwise is None else entry.otherwise
        make, stands = self.make, values.index(before) >= place
        if lowest:
            # one below decides; else it takes one above, unless it stands there anyway
            false = below.true if stands else make.any_of((below.true, above.false))
            true = below.false if stands else make.all_of((below.false, above.true))
            return Rails(true, false)
        true = make.any_of((above.true, below.false)) if stands else above.true
        false = make.all_of((above.false, below.true)) if stands else above.false
        return Rails(true, false)


def _at_side(word: str, side: str | None) -> str:
    if word == "{side}" and side is not None:
        return side
    if word == "{other_side}" and side is not None:
        return {"left": "right", "right": "left"}[side]
    return word


def _reached(write: Write, level: str | None) -> list[str | None]:
    """The levels one write goes to; None is the case."""
    if write.reach == "case":
        return [None]
    if write.reach == "segment":
        return [level]
    if level not in LEVELS:
        return []
    place = LEVELS.index(level)
    return [other for n, other in enumerate(LEVELS) if abs(n - place) == 1]


def _whole(number: object, words: tuple[str, ...], step: object) -> int:
    """The operand in whole steps, by fractions."""
    steps = Fraction(str(number if number is not None else words[0])) / Fraction(str(step))
    if steps.denominator != 1:
        raise ValueError("an operand is not a whole number of steps")
    return steps.numerator
