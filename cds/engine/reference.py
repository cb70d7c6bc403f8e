"""The slow oracle: reads the rules as they are written, one by one, and asks until it knows.

It shares no idea with the chainer. It never looks at the program's leaves, gates, slots or
literals: a test of a finding tries every possibility the record leaves; a test of a conclusion
collects what fired and open rules name, works out every result that could come of it, and is
unknown where those disagree. Of the compiled part it uses only which number a rule has at which
level and side. What a rule holds is not asked: its own `then` names the same at least as strictly,
and readers never see a held value.
"""

from __future__ import annotations

from cds.engine.port import Inputs, Outcome
from cds.engine.reference_leaves import (
    Said,
    all_agree,
    conclusion_possibilities,
    finding_passes,
    policy_passes,
)
from cds.rulebook.book import Phase, Rule, Write
from cds.rulebook.conditions import Condition, Group, Leaf, Source
from cds.rulebook.program import Program
from cds.vocabulary.model import LEVELS
from cds.vocabulary.values import NOT_APPLICABLE, Op, Tri

Standing = tuple[str, str | None, str | None]
"""A rule id, its level and its side."""

Named = tuple[str, str | None]
"""A conclusion with its key (`limit.thrust`), and the level or None for the case."""


class Reference:
    """The oracle for one program."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self._numbers: dict[Standing, int] = {
            (i.rule, i.level, i.side): i.number for i in program.instances
        }
        self._writers: dict[Named, list[tuple[Standing, Write]]] = {}
        for standing in self._numbers:
            rule = program.rules[standing[0]]
            for write in rule.then:
                for level in _levels_of(write, standing[1]):
                    name = f"{write.conclusion}.{write.key}" if write.key else write.conclusion
                    self._writers.setdefault((name, level), []).append((standing, write))

    def evaluate(self, inputs: Inputs) -> Outcome:
        """Fired and open instances."""
        thinking = _Thinking(self.program, self._writers, inputs)
        fired: list[int] = []
        undecided: list[int] = []
        for standing, number in self._numbers.items():
            truth = thinking.rule(standing)
            if truth is Tri.TRUE:
                fired.append(number)
            elif truth is Tri.UNKNOWN:
                undecided.append(number)
        return Outcome(tuple(sorted(fired)), tuple(sorted(undecided)))


class _Thinking:
    """One evaluation: what is already known of each rule at each place."""

    def __init__(
        self,
        program: Program,
        writers: dict[Named, list[tuple[Standing, Write]]],
        inputs: Inputs,
    ) -> None:
        self.program = program
        self.writers = writers
        self.inputs = inputs
        self.known: dict[Standing, Tri] = {}

    def rule(self, standing: Standing) -> Tri:
        found = self.known.get(standing)
        if found is None:
            found = self.known[standing] = self._rule(*standing)
        return found

    def _rule(self, rule_id: str, level: str | None, side: str | None) -> Tri:
        rule: Rule = self.program.rules[rule_id]
        if level is not None and level not in self.inputs.levels:
            return Tri.FALSE
        own = self.condition(rule.when, level, side)
        if rule.phase is Phase.JUDGE or own is Tri.FALSE:
            return own
        # a prepare rule waits for the path
        path = self.inputs.values.get("path.up_to")
        if path is NOT_APPLICABLE:
            return Tri.FALSE
        return Tri.UNKNOWN if path is None else own

    def condition(self, condition: Condition, level: str | None, side: str | None) -> Tri:
        if isinstance(condition, Leaf):
            return self._leaf(condition, level, side)
        found = [self.condition(member, level, side) for member in condition.members]
        if condition.group is Group.ALL:
            return _and(found)
        if condition.group is Group.ANY:
            return _or(found)
        if condition.group is Group.NONE:
            return _not(_or(found))
        surely = found.count(Tri.TRUE)
        perhaps = surely + found.count(Tri.UNKNOWN)
        if surely >= condition.at_least:
            return Tri.TRUE
        return Tri.FALSE if perhaps < condition.at_least else Tri.UNKNOWN

    def _leaf(self, leaf: Leaf, level: str | None, side: str | None) -> Tri:
        words = tuple(_at_side(word, side) for word in leaf.words)
        if leaf.source is Source.POLICY:
            passed = policy_passes(self.program.policy[leaf.name], leaf, words)
            return Tri.TRUE if passed else Tri.FALSE
        if leaf.source is Source.CONCLUSION:
            return self._conclusion(leaf, words, level)
        of_level = leaf.name.startswith("segment.")
        value = self.inputs.values.get(f"{leaf.name}@{level}" if of_level else leaf.name)
        if value is None:
            return Tri.UNKNOWN
        if value is NOT_APPLICABLE:
            return Tri.FALSE
        if leaf.op is Op.KNOWN:
            return Tri.TRUE
        vocabulary = (
            self.program.findings if leaf.source is Source.FINDING else self.program.features
        )
        return finding_passes(vocabulary[leaf.name], value, leaf, words)

    def _conclusion(self, leaf: Leaf, words: tuple[str, ...], level: str | None) -> Tri:
        of_level = leaf.name.startswith("segment.")
        name = leaf.name.removeprefix("segment.")
        said = Said(set(), set())
        for standing, write in self.writers.get((name, level if of_level else None), []):
            truth = self.rule(standing)
            if truth is Tri.TRUE:
                said.fired.add(_at_side(write.value, standing[2]))
            elif truth is Tri.UNKNOWN:
                said.open.add(_at_side(write.value, standing[2]))
        conclusion, _, key = name.partition(".")
        entry = self.program.conclusions[conclusion]
        return all_agree(conclusion_possibilities(entry, key or None, said, leaf.op, words))


def _at_side(word: str, side: str | None) -> str:
    if side is None:
        return word
    return {"{side}": side, "{other_side}": "right" if side == "left" else "left"}.get(word, word)


def _levels_of(write: Write, level: str | None) -> tuple[str | None, ...]:
    if write.reach == "case":
        return (None,)
    if write.reach == "segment":
        return (level,)
    if level not in LEVELS:
        return ()
    here = LEVELS.index(level)
    return tuple(LEVELS[n] for n in (here - 1, here + 1) if 0 <= n < len(LEVELS))


def _and(values: list[Tri]) -> Tri:
    if Tri.FALSE in values:
        return Tri.FALSE
    return Tri.UNKNOWN if Tri.UNKNOWN in values else Tri.TRUE


def _or(values: list[Tri]) -> Tri:
    if Tri.TRUE in values:
        return Tri.TRUE
    return Tri.UNKNOWN if Tri.UNKNOWN in values else Tri.FALSE


def _not(value: Tri) -> Tri:
    return {Tri.TRUE: Tri.FALSE, Tri.FALSE: Tri.TRUE, Tri.UNKNOWN: Tri.UNKNOWN}[value]
