"""Two rules write different values of a `single` conclusion only if they exclude each other.

Visibly: each has a top-level `all` (or is one test) with a test of the same finding or feature, and
the answers they allow have nothing in common. So no conflict can exist when a case is decided, and
a reader sees why.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from cds.problems import Problem
from cds.rulebook.book import Book, Rule, Write
from cds.rulebook.checks.ranges import Allowed, both, is_empty, steps_allowed, words_allowed
from cds.rulebook.checks.subjects import SEGMENT, Slot, measured, problem, slot_written
from cds.rulebook.conditions import Group, Leaf
from cds.vocabulary.model import Combine

OTHER = {"left": "right", "right": "left"}


class Variant(NamedTuple):
    """A rule for one side (None where it has none), with what it writes there."""

    rule: Rule
    side: str | None
    write: Write
    value: str


def check(book: Book) -> Iterator[Problem]:
    """Pairs of rules that may disagree about a `single` conclusion."""
    by_slot: dict[Slot, list[Variant]] = {}
    for rule in book.rules.values():
        for write in rule.then:
            conclusion = book.conclusions.get(write.conclusion)
            if conclusion is None or conclusion.combine is not Combine.SINGLE:
                continue
            for side in ("left", "right") if "side" in rule.for_each else (None,):
                variant = Variant(rule, side, write, _sided(write.value, side))
                by_slot.setdefault(slot_written(write), []).append(variant)
    for slot, variants in by_slot.items():
        told: set[tuple[str, str]] = set()
        for one, other in combinations(variants, 2):
            pair = (one.rule.id, other.rule.id)
            if one.value == other.value or pair in told or _exclusive(book, slot, one, other):
                continue
            told.add(pair)
            if one.rule is other.rule:
                message = f"rule `{one.rule.id}` may write both `{one.value}` and `{other.value}`"
            else:
                message = (
                    f"rule `{other.rule.id}` may write `{other.value}` while `{one.rule.id}` "
                    f"writes `{one.value}`"
                )
            yield problem("single-not-exclusive", f"{message} to `{slot}`", other.write.place)


def _sided(word: str, side: str | None) -> str:
    if side is None:
        return word
    return {"{side}": side, "{other_side}": OTHER[side]}.get(word, word)


def _exclusive(book: Book, slot: Slot, one: Variant, other: Variant) -> bool:
    first, second = answers(book, one.rule, one.side), answers(book, other.rule, other.side)
    return any(
        is_empty(both(first[name], second[name]))
        for name in first.keys() & second.keys()
        # two levels may answer differently and both write the whole case
        if slot.segment or not name.startswith(SEGMENT)
    )


def answers(book: Book, rule: Rule, side: str | None) -> dict[str, Allowed]:
    """What each finding or feature tested at the top must answer for the rule to fire."""
    when = rule.when
    members: tuple[object, ...] = (when,)
    if not isinstance(when, Leaf):
        members = when.members if when.group is Group.ALL else ()
    found: dict[str, Allowed] = {}
    for leaf in members:
        if not isinstance(leaf, Leaf):
            continue
        source = measured(book, leaf)
        if source is None:
            continue
        allowed: Allowed | None = None
        if source.numeric:
            steps = source.steps(leaf.number) if leaf.number is not None else None
            allowed = steps_allowed(leaf, steps) if steps is not None else None
        else:
            words = tuple(_sided(word, side) for word in leaf.words)
            sided = Leaf(leaf.source, leaf.name, leaf.op, words)
            allowed = words_allowed(sided, source.values)
        if allowed is not None:
            before = found.get(leaf.name)
            found[leaf.name] = allowed if before is None else both(before, allowed)
    return found
