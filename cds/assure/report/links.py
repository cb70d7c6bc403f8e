"""Who feeds whom: the rules behind a conclusion, the readers of a finding, feature or choice.

Everything is taken from the compiled Program's grounded reads, so it is what the engine does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cds.rulebook.book import Phase, Rule
from cds.rulebook.conditions import Source, leaves
from cds.rulebook.program import Program
from cds.vocabulary.computed import PATH_FEATURES

PATH_WRITES = frozenset({"limit", "target", "indication", "care_today", "referral"})
"""Conclusions from which the path of the day is resolved."""


@dataclass(frozen=True, slots=True)
class Links:
    """Rule ids by what they are linked to; every tuple is in reading order.

    `order`: topics in reading order, each with its rules in reading order. `readers` is by name of
    a finding, feature or policy choice; `choosers` by id of a text, card or exercise; `citers` by
    source id. `to_path` writes what the path is resolved from, `from_path` reads the path.
    """

    order: Mapping[str, tuple[str, ...]]
    numbers: Mapping[str, int]
    feeds: Mapping[str, tuple[str, ...]]
    fed_by: Mapping[str, tuple[str, ...]]
    readers: Mapping[str, tuple[str, ...]]
    choosers: Mapping[str, tuple[str, ...]]
    citers: Mapping[str, tuple[str, ...]]
    to_path: frozenset[str]
    from_path: frozenset[str]


def links_of(program: Program) -> Links:
    """All links of a rule book."""
    order = _order(program)
    ids = [rule for rules in order.values() for rule in rules]
    numbers = {rule: number for number, rule in enumerate(ids, start=1)}
    pairs: set[tuple[str, str]] = set()
    for instance in program.instances:
        for read in instance.reads:
            if read.slot is not None:
                for writer in program.slots[read.slot].writers:
                    pairs.add((program.instances[writer].rule, instance.rule))
    rules = program.rules
    writes = {rule: (*rules[rule].then, *rules[rule].holds) for rule in ids}

    def gathered(found: Iterable[tuple[str, str]]) -> dict[str, tuple[str, ...]]:
        groups: dict[str, set[str]] = {}
        for name, rule in found:
            groups.setdefault(name, set()).add(rule)
        return {name: tuple(sorted(group, key=numbers.__getitem__)) for name, group in
                groups.items()}  # fmt: skip

    return Links(
        order,
        numbers,
        feeds=gathered(pairs),
        fed_by=gathered((reader, writer) for writer, reader in pairs),
        readers=gathered(
            (name, rule)
            for rule in ids
            for leaf in leaves(rules[rule].when)
            for name in (leaf.name if leaf.source is not Source.CONCLUSION else None, leaf.policy)
            if name is not None
        ),
        choosers=gathered(
            (write.value, rule)
            for rule in ids
            for write in writes[rule]
            if write.value in program.texts
            or write.value in program.cards
            or write.value in program.exercises
        ),
        citers=gathered(
            (proof.source, rule)
            for rule in ids
            for proof in rules[rule].evidence
            if proof.source is not None
        ),
        to_path=frozenset(
            rule
            for rule in ids
            if rules[rule].phase is Phase.JUDGE
            and any(write.conclusion in PATH_WRITES for write in writes[rule])
        ),
        from_path=frozenset(
            rule
            for rule in ids
            if any(leaf.name in PATH_FEATURES for leaf in leaves(rules[rule].when))
        ),
    )


def _order(program: Program) -> dict[str, tuple[str, ...]]:
    """Topics that refer come first, then those that limit, then the rest; preparing comes last.

    Inside a topic rules stand as the author wrote them.
    """
    topics: dict[str, list[Rule]] = {}
    for rule in program.rules.values():
        topics.setdefault(rule.topic, []).append(rule)

    def weight(topic: str) -> tuple[bool, float, float, str]:
        rules = topics[topic]
        refer = sum(any(write.conclusion == "referral" for write in rule.then) for rule in rules)
        limit = sum(any(write.conclusion == "limit" for write in rule.then) for rule in rules)
        prepares = all(rule.phase is Phase.PREPARE for rule in rules)
        return prepares, -refer / len(rules), -limit / len(rules), topic

    return {
        topic: tuple(rule.id for rule in sorted(topics[topic], key=_written))
        for topic in sorted(topics, key=weight)
    }


def _written(rule: Rule) -> tuple[str, int, str]:
    if rule.place is None:
        return "", 0, rule.id
    return rule.place.file, rule.place.line, rule.id
