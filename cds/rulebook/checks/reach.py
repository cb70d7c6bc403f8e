"""A rule whose own tests can never be true together never fires, and its author should know.

For each condition: what every source it tests must answer for it to be true. `all` takes what its
members have in common, `any` everything that one of them allows; where nothing is left, it can
never be true. Nothing is claimed beyond what the tests themselves say.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from cds.problems import Problem
from cds.rulebook.book import Book, PolicyChoice
from cds.rulebook.checks.ranges import (
    Allowed,
    Range,
    both,
    either,
    is_empty,
    plausible,
    steps_allowed,
    words_allowed,
)
from cds.rulebook.checks.subjects import concluded, measured, problem, slot_read, spoken
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source, leaves
from cds.vocabulary.model import Combine, Conclusion, Feature, Finding
from cds.vocabulary.values import NUMERIC_OPS, Op

YES, NO = frozenset({"yes"}), frozenset({"no"})
NOTHING = ""
"""Stands for "nobody concluded anything" among the values of a `single` conclusion."""


@dataclass(frozen=True, slots=True)
class Answers:
    """The answers of one source that leave a condition possible; `absent`: it need not apply."""

    values: Allowed
    absent: bool = False

    @property
    def empty(self) -> bool:
        """Whether no answer is left."""
        return not self.absent and is_empty(self.values)


Needed = dict[str, Answers]
"""Source -> what it must answer. A source that is not in it may answer anything."""


def check(book: Book) -> Iterator[Problem]:
    """Contradictions among the tests of one rule, and rules that local policy switches off."""
    for rule in book.rules.values():
        apart = _Walk(book, with_policy=False)
        possible = apart.needed(rule.when)
        for group, name in apart.contradictions:
            message = f"in rule `{rule.id}` the tests of `{name}` can never be true together"
            if isinstance(group, Leaf):
                message = f"rule `{rule.id}` denies that `{name}` is known, which is never true"
            yield problem("never-fires", message, group.place)
        if possible is not None and _Walk(book, with_policy=True).needed(rule.when) is None:
            choices = {leaf.policy or leaf.name for leaf in leaves(rule.when) if _of_policy(leaf)}
            named = spoken(tuple(sorted(choices)))
            message = f"rule `{rule.id}` is off by local policy: {named}"
            yield problem("off-by-policy", message, rule.place)


def _of_policy(leaf: Leaf) -> bool:
    return leaf.policy is not None or leaf.source is Source.POLICY


@dataclass
class _Walk:
    """One pass over a rule. Without policy, tests that rest on a policy choice are left open."""

    book: Book
    with_policy: bool
    contradictions: list[tuple[Condition, str]] = field(default_factory=list)

    def needed(self, condition: Condition, positive: bool = True) -> Needed | None:
        """What must be answered for the condition to be true (false, if not positive).

        None: it never is.
        """
        if isinstance(condition, Leaf):
            return self._leaf(condition, positive)
        inside = positive if condition.group is not Group.NONE else not positive
        found = [self.needed(member, inside) for member in condition.members]
        wanted = _wanted(condition, positive)
        possible = [needs for needs in found if needs is not None]
        if len(possible) < wanted:
            return None
        if wanted == len(found):
            return self._meet(condition, possible)
        return _join(possible) if wanted == 1 else {}

    def _meet(self, group: Members, members: list[Needed]) -> Needed | None:
        met: Needed = {}
        for needs in members:
            for name, answers in needs.items():
                before = met.get(name)
                if before is None:
                    met[name] = answers
                    continue
                values = both(before.values, answers.values)
                met[name] = Answers(values, before.absent and answers.absent)
                if met[name].empty:
                    self.contradictions.append((group, name))
                    return None
        return met

    def _leaf(self, leaf: Leaf, positive: bool) -> Needed | None:
        if _of_policy(leaf) and not self.with_policy:
            return {}
        source = measured(self.book, leaf)
        if source is not None:
            if leaf.op is Op.KNOWN and not positive:
                # `known` is true or unknown, never false: an answer that is missing is not read
                self.contradictions.append((leaf, leaf.name))
                return None
            return _measured(leaf, source, positive)
        if leaf.source is Source.POLICY and leaf.name in self.book.policy:
            return {} if _chosen(leaf, self.book.policy[leaf.name]) is positive else None
        conclusion = concluded(self.book, leaf)
        return {} if conclusion is None else _concluded(leaf, conclusion, positive)


def _wanted(condition: Members, positive: bool) -> int:
    """How many members must be true (or false) for the group to be true (or false)."""
    count = len(condition.members)
    if condition.group is Group.NONE:
        return count if positive else 1
    need = {Group.ALL: count, Group.ANY: 1}.get(condition.group, condition.at_least)
    return need if positive else count - need + 1


def _join(members: list[Needed]) -> Needed:
    joined: Needed = {}
    for name in members[0]:
        if all(name in needs for needs in members):
            total = members[0][name]
            for needs in members[1:]:
                other = needs[name]
                values = either(total.values, other.values)
                total = Answers(values, total.absent or other.absent)
            joined[name] = total
    return joined


def _measured(leaf: Leaf, source: Finding | Feature, positive: bool) -> Needed | None:
    if source.numeric:
        whole = plausible(source.low, source.high, source.step)
        if leaf.op is Op.KNOWN:
            return {leaf.name: Answers(whole)}
        steps = source.steps(leaf.number) if leaf.number is not None else None
        found = None if steps is None else steps_allowed(leaf, steps, not positive)
        if found is None:
            return {}
        return _one(leaf.name, Answers(both(found, whole), absent=not positive))
    if any(word.startswith("{") for word in leaf.words):
        return {}
    words = words_allowed(leaf, source.values, not positive)
    if words is None:
        return {}
    return _one(leaf.name, Answers(words, absent=not positive))


def _one(name: str, answers: Answers) -> Needed | None:
    return None if answers.empty else {name: answers}


def _chosen(leaf: Leaf, choice: PolicyChoice) -> bool:
    """Whether the policy as it stands makes the test true."""
    if leaf.op in NUMERIC_OPS and isinstance(choice.value, int) and leaf.number is not None:
        allowed = steps_allowed(leaf, int(leaf.number))
        return allowed is not None and not is_empty(
            both(allowed, Range(choice.value, choice.value))
        )
    inside = str(choice.value) in leaf.words
    return not inside if leaf.op is Op.IS_NOT else inside


def _concluded(leaf: Leaf, conclusion: Conclusion, positive: bool) -> Needed | None:
    if leaf.op is Op.HOLDS:
        return {leaf.name: Answers(YES if positive else NO)}
    values = conclusion.values_of(slot_read(leaf).key)
    if conclusion.combine is Combine.SET:
        return _set(leaf, values, positive)
    if any(word.startswith("{") for word in leaf.words):
        return {}
    if conclusion.combine is Combine.SINGLE:
        values = (*values, NOTHING)
    words = words_allowed(leaf, values, not positive)
    return {} if words is None else _one(leaf.name, Answers(words))


def _set(leaf: Leaf, members: tuple[str, ...], positive: bool) -> Needed:
    """Each member of a set is a yes or no of its own."""
    if leaf.op is Op.EMPTY:
        named, alone = members, not positive
    else:
        named, alone = leaf.words, positive
    if alone and len(named) != 1:
        return {}  # one of several: nothing is needed of any single one
    state = Answers(YES if alone else NO)
    return {f"{leaf.name} {member}": state for member in named}
