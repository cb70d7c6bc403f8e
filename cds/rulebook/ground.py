"""From rules as written to rules at one level and side.

A rule `for_each: segment` stands once for every level of the book and once for the nameless level
of a case whose list of segments is missing; a rule `for_each: side` once for left and right. Here
names get their level, `{side}` and `{other_side}` their side, and writes their slot.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from cds.rulebook.book import Rule, Write
from cds.rulebook.conditions import Leaf
from cds.vocabulary.model import LEVELS, NAMELESS, SIDES, at_level

ALL_LEVELS = (*LEVELS, NAMELESS)
"""Every level a rule may stand at, in order."""

SEGMENT = "segment."
"""The prefix of what belongs to one level."""

LEVEL_INPUT = "level"
"""`level@L5` is true where L5 is listed, else false. Engines answer it, nobody sends it."""

PATH_READY = "path.up_to"
"""Known once the path stands: before that no prepare rule fires."""


@dataclass(frozen=True, slots=True, order=True)
class SlotKey:
    """Which slot: the conclusion, its key and the level, `""` where it has none."""

    conclusion: str
    key: str = ""
    level: str = ""


@dataclass(frozen=True, slots=True)
class GroundWrite:
    """A write at its slot; `value` is still a word."""

    slot: SlotKey
    value: str
    within: str | None


def places_of(rule: Rule) -> Iterator[tuple[str | None, str | None]]:
    """Every (level, side) the rule stands at, in order; (None, None) for a plain rule."""
    levels = ALL_LEVELS if "segment" in rule.for_each else (None,)
    sides = SIDES if "side" in rule.for_each else (None,)
    for level in levels:
        for side in sides:
            yield level, side


def with_side(word: str, side: str | None) -> str:
    """`{side}` and `{other_side}` replaced; unchanged where the rule has no side."""
    if side is None or "{" not in word:
        return word
    other = SIDES[1 - SIDES.index(side)]
    return word.replace("{other_side}", other).replace("{side}", side)


def leaf_at(leaf: Leaf, side: str | None) -> Leaf:
    """The leaf with its operand words at one side."""
    if side is None:
        return leaf
    return replace(leaf, words=tuple(with_side(word, side) for word in leaf.words))


def input_at(name: str, level: str | None) -> str:
    """The grounded input of a finding or feature: only `segment.…` names carry the level."""
    return at_level(name, level) if name.startswith(SEGMENT) else name


def slot_read(name: str, level: str | None) -> SlotKey:
    """The slot a leaf reads: `segment.limit.thrust` at L5, `concern.fracture`, `care_today`."""
    here = name.startswith(SEGMENT)
    bare = name.removeprefix(SEGMENT)
    conclusion, _, key = bare.partition(".")
    return SlotKey(conclusion, key, (level or "") if here else "")


def neighbours(level: str | None) -> tuple[str, ...]:
    """The levels directly above and below; none for the nameless level."""
    if level not in LEVELS:
        return ()
    index = LEVELS.index(level)
    return LEVELS[max(index - 1, 0) : index] + LEVELS[index + 1 : index + 2]


def ground_write(write: Write, level: str | None, side: str | None) -> Iterator[GroundWrite]:
    """The slots one write goes to: one, or for `adjacent` up to two."""
    where: tuple[str, ...] = ("",)
    if write.reach == "segment":
        where = (level or "",)
    elif write.reach == "adjacent":
        where = neighbours(level)
    value = with_side(write.value, side)
    for found in where:
        yield GroundWrite(SlotKey(write.conclusion, write.key or "", found), value, write.within)
