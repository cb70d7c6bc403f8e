"""A rule book as read: what the YAML says, shaped and named, with places, before it is compiled.

`cds.rulebook.shape` makes a `Book` of the YAML trees, `cds.rulebook.checks` judges it,
`cds.rulebook.compile` turns it into a `Program`. Nothing above this folder ever sees a Book.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from cds.problems import Place
from cds.rulebook.conditions import Condition
from cds.vocabulary.model import Conclusion, Feature, Finding, Ladder


class Phase(StrEnum):
    """Judge rules run before the path is known, prepare rules after it."""

    JUDGE = "judge"
    PREPARE = "prepare"


class Basis(StrEnum):
    """Why a rule limits. Shown with every hold; local policy is never called a contraindication."""

    CONTRAINDICATION = "contraindication"
    PRECAUTION = "precaution"
    SCREENING = "screening"
    CONSENT = "consent"
    TRAINING = "training"
    RESPONSE = "response"
    POLICY = "policy"


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a rule, card or number rests on: a source id, or `common_practice` with a word on what.

    `from_memory` marks a value nobody has read in its source; it needs sign-off before a release.
    """

    source: str | None = None
    at: str | None = None
    common_practice: str | None = None
    from_memory: bool = False
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Write:
    """One conclusion a rule writes. `reach`: `case`, `segment` (this level) or `adjacent` levels.

    `value` is a word; `yes` for a flag; for a set the member. `within` is a referral's own time.
    """

    conclusion: str
    value: str
    key: str | None = None
    reach: str = "case"
    within: str | None = None
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. `holds` is its `while_unknown`; `holds_said` is whether the key was written."""

    id: str
    title: str
    topic: str
    when: Condition
    then: tuple[Write, ...]
    holds: tuple[Write, ...]
    because: str
    evidence: tuple[Evidence, ...]
    owner: str
    approved: date | None
    review_by: date | None
    phase: Phase = Phase.JUDGE
    basis: Basis | None = None
    for_each: tuple[str, ...] = ()
    asymmetric: str | None = None
    holds_said: bool = True
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class PolicyChoice:
    """One choice that local governance may make. `values` for words, else a whole number."""

    id: str
    title: str
    value: str | int
    values: tuple[str, ...]
    low: int | None
    high: int | None
    reason: str
    evidence: tuple[Evidence, ...]
    refused: tuple[tuple[str, str], ...] = ()  # value -> why it may not be chosen
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Card:
    """How to do one technique for one classification at one rung; texts may use {side}, {level}.

    `pattern`: flexed, extended, group, bilateral_flexed, bilateral_extended, any. `positions` are
    the position families it needs, all. `set_up` and `stop` are lists of sentences; `dose` maps a
    word (hold, repetitions …) to text. `instead_of` names the card that this one stands in for
    where its position is barred or not tolerated; `if_not_tolerated` says what to do then.
    """

    id: str
    title: str
    rungs: tuple[str, ...]
    pattern: str
    position: str
    positions: tuple[str, ...]
    set_up: tuple[str, ...]
    effort: str
    dose: tuple[tuple[str, str], ...]
    feel: str
    stop: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    lie_on: str | None = None  # "{side}" or "{other_side}", for the geometry check
    side_bend: str | None = None
    rotate: str | None = None
    sagittal: str | None = None  # flexion, extension, neutral
    if_not_tolerated: str = ""
    instead_of: str | None = None
    asymmetric: str | None = None
    owner: str = ""
    review_by: date | None = None
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Exercise:
    """A home exercise; `loads` are home families that must not be barred."""

    id: str
    title: str
    loads: tuple[str, ...]
    how: tuple[str, ...]
    dose: str
    stop: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    asymmetric: str | None = None
    owner: str = ""
    review_by: date | None = None
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class SourceEntry:
    """A published source: what it is, when, and how it was read.

    `status`: read, second_hand, derived, memory.
    """

    id: str
    title: str
    year: int | None
    status: str
    where: str = ""
    scheme: str = ""
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class PositionalRow:
    """One row of the positional table: prominent side in three positions -> what it means.

    Sides are `symmetric`, `left`, `right`. `pattern`: none, flexed, extended, flexed_and_extended,
    group_if_three, indeterminate. `flexed_side` / `extended_side` / `prominent_side` or None.
    `restricted`: motions such as `extension`, `rotation_right`, `side_bending_left`.
    """

    number: int
    flexion: str
    neutral: str
    extension: str
    pattern: str
    flexed_side: str | None
    extended_side: str | None
    prominent_side: str | None
    restricted: tuple[str, ...]
    facet: str
    note: str = ""
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Block:
    """Findings that are asked together, with one "none of these" answer."""

    id: str
    ask: str
    findings: tuple[str, ...]
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class VisitPart:
    """One part of a visit, in the order in which a visit goes: what is asked or examined in it.

    `asks`: names of findings, and of blocks for all their findings. `how` is the way in which its
    answers are had, where nobody says otherwise (`asked` or `examined`).
    """

    id: str
    title: str
    how: str
    asks: tuple[str, ...]
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Text:
    """A sentence chosen by rules: a caution, a re-test, safety net, a next step's words."""

    id: str
    say: str
    evidence: tuple[Evidence, ...] = ()
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Book:
    """The whole rule book, every mapping by id."""

    language: int
    title: str
    scope_notice: tuple[str, ...]
    findings: dict[str, Finding]
    features: dict[str, Feature]
    conclusions: dict[str, Conclusion]
    ladder: Ladder
    policy: dict[str, PolicyChoice]
    blocks: dict[str, Block]
    rules: dict[str, Rule]
    cards: dict[str, Card]
    exercises: dict[str, Exercise]
    texts: dict[str, Text]
    sources: dict[str, SourceEntry]
    positional: tuple[PositionalRow, ...]
    parameters: dict[str, int]
    destinations: dict[str, str]
    concerns: dict[str, str]
    visit: tuple[VisitPart, ...] = ()
