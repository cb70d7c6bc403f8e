"""Stages: which rules stand on which. A rule comes after every rule whose conclusion it reads.

Edges run from whatever a rule names, in `then` or `while_unknown`. They are drawn between rules and
conclusions by key and scope, not per level, so that a rule never stands on itself at another level.
"""

from __future__ import annotations

from collections.abc import Mapping

from cds.rulebook.book import Rule
from cds.rulebook.conditions import Source, leaves
from cds.rulebook.ground import SEGMENT

Named = tuple[str, bool]


def written_names(rule: Rule) -> frozenset[Named]:
    """What the rule writes, as (`conclusion.key`, whether of a level)."""
    return frozenset(
        (f"{w.conclusion}.{w.key}" if w.key else w.conclusion, w.reach != "case")
        for w in (*rule.then, *rule.holds)
    )


def read_names(rule: Rule) -> frozenset[Named]:
    """What the rule reads of other rules' conclusions, in the same shape."""
    return frozenset(
        (leaf.name.removeprefix(SEGMENT), leaf.name.startswith(SEGMENT))
        for leaf in leaves(rule.when)
        if leaf.source is Source.CONCLUSION
    )


def stages_of(rules: Mapping[str, Rule]) -> tuple[tuple[str, ...], ...]:
    """Rule ids by stage, sorted within each. `ValueError` on a cycle (the checks refuse those)."""
    writers: dict[Named, set[str]] = {}
    for rule in rules.values():
        for name in written_names(rule):
            writers.setdefault(name, set()).add(rule.id)
    readers: dict[str, set[str]] = {rule: set() for rule in rules}
    waits: dict[str, int] = {}
    for rule in rules.values():
        before: set[str] = set()
        for name in read_names(rule):
            before |= writers.get(name, set())
        waits[rule.id] = len(before)
        for writer in before:
            readers[writer].add(rule.id)
    found: list[tuple[str, ...]] = []
    ready = sorted(rule for rule, count in waits.items() if count == 0)
    placed = 0
    while ready:
        found.append(tuple(ready))
        placed += len(ready)
        following: list[str] = []
        for rule_id in ready:
            for reader in readers[rule_id]:
                waits[reader] -= 1
                if waits[reader] == 0:
                    following.append(reader)
        ready = sorted(following)
    if placed < len(rules):
        raise ValueError("rules stand on each other in a circle")
    return tuple(found)
