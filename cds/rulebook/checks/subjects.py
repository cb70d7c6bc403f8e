"""What a test or a write is about: names resolved against the book, and a problem made of a code.

A *slot* here is one place where rules write, before grounding: conclusion, key, and whether it is
one per level. Unknown names resolve to None; `names` reports them, the other checks pass over them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cds.problems import Place, Problem, Severity
from cds.rulebook.book import Book, Rule, Write
from cds.rulebook.check_codes import CHECK_CODES, WARNINGS
from cds.rulebook.conditions import Condition, Leaf, Source, leaves
from cds.vocabulary.model import Conclusion, Feature, Finding

SEGMENT = "segment."
SIDE_WORDS = ("{side}", "{other_side}")


class Slot(NamedTuple):
    """A conclusion, its key, and whether it is one level's."""

    conclusion: str
    key: str | None
    segment: bool

    def __str__(self) -> str:
        name = f"{self.conclusion}.{self.key}" if self.key else self.conclusion
        return SEGMENT + name if self.segment else name


def problem(code: str, message: str, place: Place | None, help: str | None = None) -> Problem:
    """A problem of this code; without `help`, the code's own."""
    severity = Severity.WARNING if code in WARNINGS else Severity.ERROR
    return Problem(code, message, place, help=help or CHECK_CODES[code][1], severity=severity)


def slot_read(leaf: Leaf) -> Slot:
    """The slot that a conclusion leaf reads, as its name says."""
    bare = leaf.name.removeprefix(SEGMENT)
    conclusion, _, key = bare.partition(".")
    return Slot(conclusion, key or None, bare != leaf.name)


def slot_written(write: Write) -> Slot:
    """The slot that a write goes to; what goes to neighbours goes to a level."""
    return Slot(write.conclusion, write.key, write.reach != "case")


def measured(book: Book, leaf: Leaf) -> Finding | Feature | None:
    """The finding or feature that a leaf tests."""
    if leaf.source is Source.FINDING:
        return book.findings.get(leaf.name)
    if leaf.source is Source.FEATURE:
        return book.features.get(leaf.name)
    return None


def concluded(book: Book, leaf: Leaf) -> Conclusion | None:
    """The conclusion that a leaf reads."""
    if leaf.source is not Source.CONCLUSION:
        return None
    return book.conclusions.get(slot_read(leaf).conclusion)


def writes(rule: Rule) -> tuple[Write, ...]:
    """Everything a rule writes, fired or open."""
    return rule.then + rule.holds


def conclusion_leaves(rule: Rule) -> Iterator[Leaf]:
    """The leaves of a rule that read conclusions."""
    return (leaf for leaf in leaves(rule.when) if leaf.source is Source.CONCLUSION)


def finding_condition(finding: Finding) -> Condition | None:
    """A finding's `applies_when`, typed."""
    condition = finding.applies_when
    # the vocabulary is a lower layer and cannot name the type of a condition
    return condition  # type: ignore[return-value]


def spoken(words: tuple[str, ...]) -> str:
    """Names for a message."""
    return ", ".join(f"`{word}`" for word in words)
