"""How far the label of one level may be trusted, and why: low at best, very low where signs clash.

Agreement between examiners on palpated position is poor, so no label is ever of more than low
confidence, and none is the only reason for a technique. What lowers it further is named: positions
that contradict each other, active motion that contradicts the label, a label that palpation leaves
open.
"""

from __future__ import annotations

from collections.abc import Mapping

from cds.vocabulary.model import at_level
from cds.vocabulary.values import Choice, Input

RELIABILITY = (
    "Side of prominence by palpation agrees poorly between examiners (kappa 0.04 to 0.17, L1-L5, "
    "untrained); it is never the only reason for a technique."
)
"""From a review of asymmetry assessment, PMC3124075 (read)."""

LOW = "low"
VERY_LOW = "very_low"

_NOT_PALPATED = "the label is not known: not every position was palpated"
_CLASHES = (
    ("segment.palpation_conflict", ("yes",),
     "the side in neutral contradicts the other positions: palpate again"),
    ("segment.motion_agrees", ("no",),
     "active motion is free in a direction that the label calls restricted"),
    ("segment.pattern", ("indeterminate",), "the positions give no clear label"),
    ("segment.pattern", ("flexed_and_extended",),
     "two labels at one level: each has its own barrier"),
)  # fmt: skip
_OPEN = (
    ("segment.motion_agrees", "whether active motion agrees is not known"),
    ("segment.bilateral", "flexion and extension of the level were not told apart"),
)


def confidence(values: Mapping[str, Input], level: str) -> tuple[str, list[str]]:
    """`low` or `very_low`, and the reasons, the general one first."""
    reasons = [RELIABILITY]
    clashes = [
        text
        for name, words, text in _CLASHES
        if (value := values.get(at_level(name, level))) is not None
        and isinstance(value, Choice)
        and value.exact in words
    ]
    pattern = values.get(at_level("segment.pattern", level))
    if not isinstance(pattern, Choice) or pattern.exact is None:
        clashes.append(_NOT_PALPATED)
    reasons += clashes
    reasons += [text for name, text in _OPEN if at_level(name, level) not in values]
    return (VERY_LOW if clashes else LOW), reasons
