"""An invented population as declared: strata, serious conditions, answers, events, courses."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

UNKNOWN = "unknown"
"""The word of a table for a patient (or examiner) who cannot say."""

SOURCE_STATUS = ("read", "second_hand", "derived", "memory")
"""How a number's source is known."""

VISITS = "draw only N first visits and N follow-ups, for a quick look"
"""What the option `--visits` says of itself."""

Words = tuple[tuple[str, float], ...]
"""Words with their proportions, 0 to 1; what is left goes to the entry's `otherwise`."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a number comes from. `status` is one of `SOURCE_STATUS`."""

    id: str
    title: str
    status: str


@dataclass(frozen=True, slots=True)
class Because:
    """What a declared number rests on: a source with the place in it, or common practice."""

    source: str | None
    text: str


@dataclass(frozen=True, slots=True)
class Stratum:
    """A share of the patients: ages in whole years, both ends included; `female` as a share."""

    id: str
    share: float
    ages: tuple[int, int]
    female: float
    evidence: tuple[Because, ...]


@dataclass(frozen=True, slots=True)
class Condition:
    """A serious condition and its share of patients at a first visit."""

    id: str
    share: float
    evidence: tuple[Because, ...]


@dataclass(frozen=True, slots=True)
class Given:
    """A table that replaces the ordinary one where all its tests hold (the first that does).

    `tests`: name -> words allowed, of an earlier entry, of `sex` or of `condition`; `age`: bounds.
    """

    tests: tuple[tuple[str, tuple[str, ...]], ...]
    age: tuple[int, int] | None
    words: Words


@dataclass(frozen=True, slots=True)
class Entry:
    """How one finding is answered: a table of words, or numbers drawn evenly between two bounds.

    `flag`: the words that count as a red flag item. `unknown`: share without a number.
    """

    name: str
    words: Words
    otherwise: str
    given: tuple[Given, ...]
    numbers: tuple[Decimal, Decimal] | None
    unknown: float
    flag: tuple[str, ...]
    evidence: tuple[Because, ...]


@dataclass(frozen=True, slots=True)
class Courses:
    """Earlier sessions of a follow-up: how many, days between them, and how they went.

    `rungs`: highest rung of the first, second, … session (the last one repeats). Shares: `gain`
    (comparable sign better), `minor` adverse responses, `longer` (not settled within 48 hours),
    `distal` (pain spread down the limb), `worsened` (guarding rose at the rung).
    """

    sessions: tuple[int, int]
    days_between: tuple[int, int]
    rungs: tuple[str, ...]
    gain: float
    minor: float
    longer: float
    distal: float
    worsened: float
    evidence: tuple[Because, ...]


@dataclass(frozen=True, slots=True)
class Population:
    """The whole declaration. `findings` are drawn in order; `events` replace answers at a
    follow-up. `segments`: words of how many levels are listed, levels and prominences to draw
    from. Age bands in `flag_ages` count as a red flag item."""

    title: str
    as_of: date
    seed: int
    first: int
    follow_up: int
    dialogues: int
    flag_share: float
    flag_ages: tuple[tuple[int, int], ...]
    consent: float
    sources: tuple[Source, ...]
    strata: tuple[Stratum, ...]
    conditions: tuple[Condition, ...]
    findings: tuple[Entry, ...]
    events: tuple[Entry, ...]
    courses: Courses

    def of_size(self, visits: int | None) -> Population:
        """The same population, drawn as so many first visits and follow-ups; None: as declared."""
        if visits is None:
            return self
        return replace(self, first=visits, follow_up=visits, dialogues=min(self.dialogues, visits))


def visits(text: str) -> int:
    """A number of visits from the command line: at least one."""
    number = int(text)
    if number < 1:
        raise ValueError(text)
    return number
