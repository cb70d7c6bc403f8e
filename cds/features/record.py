"""The one view of a case that features read: its parts, the answers that still count, the ladder.

Feature modules never look at raw answers where a standing one exists, so that an expired answer is
as unknown here as it is to the rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from math import ceil, floor

from cds.features.uncertain import Span, Words
from cds.vocabulary.case import Case, Session
from cds.vocabulary.computed import GUARDING, RUNGS
from cds.vocabulary.core import PARAMETERS
from cds.vocabulary.model import Finding
from cds.vocabulary.values import Amount, Choice, Input

PAIN: Span = (0, 10)
"""The pain scale in points."""

MASKING = ("opioid", "sedative", "alcohol", "injection")
"""What makes an eased response mean little when it was had before a session. Common practice."""

Features = dict[str, Input]
"""Feature name -> value; a name that is missing is unknown."""


@dataclass(frozen=True)
class Record:
    """A case beside what still counts of it.

    `standing`: grounded finding -> value. `findings` by name. `rungs`: least first.
    """

    case: Case
    standing: Mapping[str, Input] = field(default_factory=dict)
    findings: Mapping[str, Finding] = field(default_factory=dict)
    parameters: Mapping[str, int] = field(default_factory=dict)
    rungs: Words = RUNGS

    def parameter(self, name: str) -> int:
        """A declared whole number, or what holds when the book does not say."""
        return self.parameters[name] if name in self.parameters else PARAMETERS[name]

    def words(self, name: str) -> Words | None:
        """The possible words of a choice that is recorded and still counts, else None."""
        value = self.standing.get(name)
        return value.options if isinstance(value, Choice) else None

    @property
    def guarding(self) -> Words:
        """Guarding found today, before hands were laid on; every word where it is unknown."""
        words = tuple(word for word in self.words("guarding") or () if word in GUARDING)
        return words or GUARDING

    @property
    def pain(self) -> Span:
        """Pain today in points; the whole scale where it is unknown."""
        value = self.standing.get("pain")
        if not isinstance(value, Amount):
            return PAIN
        step = self.findings["pain"].step if "pain" in self.findings else 1
        low = PAIN[0] if value.low is None else floor(value.low * step)
        high = PAIN[1] if value.high is None else ceil(value.high * step)
        return (max(low, PAIN[0]), min(high, PAIN[1]))

    @property
    def course(self) -> tuple[Session, ...] | None:
        """Earlier sessions, oldest first; None where they were not sent."""
        if self.case.course is None:
            return None
        return tuple(sorted(self.case.course, key=lambda session: session.on))

    def days_since(self, day: date) -> int:
        """Whole days from `day` to the as-of date."""
        return (self.case.as_of - day).days

    def rung_index(self, rung: str) -> int:
        """Place of a rung on the ladder, 0 the least."""
        return self.rungs.index(rung)

    def highest_given(self, session: Session) -> Words:
        """The highest rung of a session: all rungs where what was given is unknown."""
        if session.given is None or any(given.rung not in self.rungs for given in session.given):
            return self.rungs
        if not session.given:
            return self.rungs[:1]
        return (max((given.rung for given in session.given), key=self.rung_index),)


def points(number: int | None) -> Span:
    """A recorded pain score as a span; the whole scale where it is unknown."""
    return PAIN if number is None else (number, number)


def put(found: Features, name: str, value: Input | None) -> None:
    """Record a feature unless it is unknown."""
    if value is not None:
        found[name] = value
