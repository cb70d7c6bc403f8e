"""Segments in order of treatment, each with the reason for its place.

A flexed or extended level comes before a neutral group, which is tested again after it; within the
same kind the level that gives the patient's own pain comes first (so the most provoked of a stack
does), then from below upward; L5 comes before the sacrum. Common practice; the last from memory.
A level that is not a dysfunction by position comes after those, an even one last: it may still be
stiff and provoked. How many are treated is the resolver's to say.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from cds.vocabulary.case import Case
from cds.vocabulary.model import LEVELS, NAMELESS, at_level
from cds.vocabulary.values import Choice, Input

_KINDS = {
    "flexed": 0, "extended": 0, "flexed_and_extended": 0, "group": 1, "indeterminate": 2, "none": 3,
}  # fmt: skip
_OPEN = 2
_PROVOKED = ("concordant", "local", "none")
_WHY = (
    "flexed or extended: before a neutral group",
    "neutral group: after the flexed or extended levels, tested again first",
    "no clear label by position",
    "even in all three positions",
)


@dataclass(frozen=True, slots=True)
class Turn:
    """A level, and the reason for its place."""

    level: str
    reason: str


def order(case: Case, values: Mapping[str, Input]) -> tuple[Turn, ...]:
    """Every listed level in order of treatment; the nameless one where the list is missing.

    `values` are grounded inputs (`segment.pattern@L5`, `segment.provocation@L5`). A level whose
    pattern is open stands with the indeterminate ones; unknown provocation counts as not provoked.
    """
    if case.segments is None:
        return (Turn(NAMELESS, "no level was listed"),)
    levels = sorted((segment.level for segment in case.segments), key=_upward)
    kinds = {level: _kind(level, values) for level in levels}
    provoked = {level: _provoked(level, values) for level in levels}
    levels.sort(key=lambda level: (kinds[level], provoked[level]))  # stable: from below upward
    moved = _l5_before_sacrum(levels, kinds)
    return tuple(
        Turn(level, _why(level, kinds[level], provoked[level], values, moved)) for level in levels
    )


def _upward(level: str) -> int:
    """From below upward, but L5 before the sacrum."""
    if level == "L5":
        return -1
    return len(LEVELS) - LEVELS.index(level)


def _kind(level: str, values: Mapping[str, Input]) -> int:
    pattern = values.get(at_level("segment.pattern", level))
    if not isinstance(pattern, Choice):
        return _OPEN
    kinds = {_KINDS[option] for option in pattern.options}
    if kinds == {_KINDS["none"]} and _sure(level, values):
        return _KINDS["flexed"]  # on both sides: no neutral level either
    return kinds.pop() if len(kinds) == 1 else _OPEN


def _sure(level: str, values: Mapping[str, Input]) -> bool:
    """Whether an even level is known to be restricted on both sides."""
    found = values.get(at_level("segment.bilateral", level))
    return isinstance(found, Choice) and "none" not in found.options


def _provoked(level: str, values: Mapping[str, Input]) -> int:
    found = values.get(at_level("segment.provocation", level))
    if isinstance(found, Choice) and found.exact in _PROVOKED:
        return _PROVOKED.index(found.exact)
    return len(_PROVOKED) - 1


def _l5_before_sacrum(levels: list[str], kinds: Mapping[str, int]) -> bool:
    """Move L5 before the sacrum where both are labelled; whether it had to move."""
    labelled = {level for level in levels if kinds[level] < _OPEN}
    if not {"L5", "S1"} <= labelled or levels.index("L5") < levels.index("S1"):
        return False
    levels.remove("L5")
    levels.insert(levels.index("S1"), "L5")
    return True


def _why(level: str, kind: int, provoked: int, values: Mapping[str, Input], moved: bool) -> str:
    parts = [_WHY[kind]]
    if values.get(at_level("segment.stacked", level)) == Choice(("yes",)):
        parts.append("stacked: the most provoked first")
    if provoked == 0:
        parts.append("gives the patient's own pain")
    if moved and level == "L5":
        parts.append("L5 before the sacrum")
    return "; ".join(parts)
