"""Findings, features, conclusions, families and rungs, as frozen values.

Names: a finding or feature of one level is written `segment.NAME`, a feature of the session in
progress `today.NAME`, everything else a bare name. Grounded on a level the name carries it:
`segment.provocation@L5`. A slot is one place where rules write: `care_today`, `limit.thrust`,
`limit.thrust@L5`, `concern.fracture`, `referral.emergency_department`, `indication.thrust@L5`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from cds.problems import Place
from cds.vocabulary.values import Choice, Value

LEVELS = ("T10", "T11", "T12", "L1", "L2", "L3", "L4", "L5", "S1")
"""The vertebral levels of the book, from above downward."""

NAMELESS = "unnamed"
"""The one level of a case whose list of segments is missing: there may be one, nothing is known."""

SIDES = ("left", "right")

MOMENTS = ("before_session", "during_session", "after_session", "contact")

URGENCIES = ("none", "routine", "urgent", "same_day", "emergency")
CARE = ("proceed", "with_precautions", "no_hands_on")
CONCERN = ("none", "some", "high", "emergency")


class Kind(StrEnum):
    """What a finding's values are."""

    PRESENCE = "presence"
    CHOICE = "choice"
    NUMBER = "number"
    COUNT = "count"
    SCORE = "score"
    DATE = "date"


class Scope(StrEnum):
    """What a finding, feature or conclusion is about."""

    CASE = "case"
    SEGMENT = "segment"


class Combine(StrEnum):
    """How several rules that write one conclusion combine."""

    FLAG = "flag"
    SET = "set"
    WORST = "worst"
    LOWEST = "lowest"
    HIGHEST = "highest"
    SINGLE = "single"


class Careful(StrEnum):
    """Which way care pulls: `more` of it is more careful, `less` of it is, or neither."""

    MORE = "more"
    LESS = "less"
    NEUTRAL = "neutral"


@dataclass(frozen=True, slots=True)
class GoodFor:
    """How long a negative counts. At most one of the first four is set; none set: for life.

    `days`/`months` count from the day it was observed; `this_session` means observed on the as-of
    date; `episode` means on or after the first session of the course, and at most 12 months.
    `with_` shortens it while another finding is adverse: finding name -> tighter period.
    """

    days: int | None = None
    months: int | None = None
    this_session: bool = False
    episode: bool = False
    with_: tuple[tuple[str, GoodFor], ...] = ()


class _Valued:
    """What findings and features share: turning written values into exact ones and back."""

    __slots__ = ()
    kind: Kind
    step: Decimal
    mirror: tuple[tuple[str, str], ...]

    @property
    def numeric(self) -> bool:
        """Whether values are amounts (numbers, counts, scores, dates)."""
        return self.kind not in (Kind.PRESENCE, Kind.CHOICE)

    def steps(self, number: Decimal) -> int | None:
        """`number` as a count of whole steps, or None when it is not one."""
        quotient = number / self.step
        whole = int(quotient)
        return whole if quotient == whole else None

    def number(self, steps: int) -> Decimal:
        """The decimal number that `steps` whole steps are."""
        return steps * self.step

    def mirrored(self, value: Value) -> Value:
        """The value with left and right exchanged, where the finding is sided."""
        if not self.mirror or not isinstance(value, Choice):
            return value
        swap = dict(self.mirror)
        return Choice(tuple(swap.get(option, option) for option in value.options))


@dataclass(frozen=True, slots=True)
class Finding(_Valued):
    """One thing that may be recorded of a patient.

    `values` in their order for choices (presence is `no`, `yes`); `adverse` lists the adverse
    words,
    or is `("up",)` / `("down",)` for a number whose high or low side is adverse, or `()`.
    Numbers: `unit` (UCUM), `step`, `low`, `high` in exact decimals; `decimals` places.
    `positive_from`: a number so bad, or worse, is a positive like an adverse word.
    """

    name: str
    kind: Kind
    ask: str
    title: str
    scope: Scope = Scope.CASE
    values: tuple[str, ...] = ()
    ordered: bool = False
    adverse: tuple[str, ...] = ()
    unit: str | None = None
    step: Decimal = Decimal(1)
    low: Decimal | None = None
    high: Decimal | None = None
    ask_alone: bool = False
    block: str | None = None
    good_for: GoodFor = GoodFor()
    voided_by: tuple[str, ...] = ()
    ends_by: tuple[str, ...] = ()
    unchanged: bool = True
    unchanged_not_with: tuple[str, ...] = ()
    applies_when: object | None = None  # a cds.rulebook.conditions.Condition over findings only
    mirror: tuple[tuple[str, str], ...] = ()
    positive_from: Decimal | None = None
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Feature(_Valued):
    """A finding that the code computes from the case. Shape as a Finding's; never asked."""

    name: str
    kind: Kind
    title: str
    scope: Scope = Scope.CASE
    values: tuple[str, ...] = ()
    ordered: bool = False
    unit: str | None = None
    step: Decimal = Decimal(1)
    low: Decimal | None = None
    high: Decimal | None = None
    mirror: tuple[tuple[str, str], ...] = ()
    today: bool = False
    reads: tuple[str, ...] = ()  # findings and case parts it is computed from, for explanations


@dataclass(frozen=True, slots=True)
class Conclusion:
    """Something rules derive. `keys` gives one slot a key (`limit`: families, `concern`:
    conditions).

    `scopes`: where it may be written. `values` from least to most (scales and single) or the
    members
    a set may hold. `otherwise` is what holds when nobody concluded anything (scales only).
    """

    name: str
    title: str
    combine: Combine
    scopes: tuple[Scope, ...] = (Scope.CASE,)
    keys: tuple[str, ...] = ()
    values: tuple[str, ...] = ()
    key_values: tuple[tuple[str, tuple[str, ...]], ...] = ()  # values by key, where they differ
    otherwise: str | None = None
    careful: Careful = Careful.NEUTRAL
    output: bool = False
    prepare_only: bool = False
    place: Place | None = field(default=None, compare=False)

    def values_of(self, key: str | None) -> tuple[str, ...]:
        """The values a slot with this key may take, least first."""
        return dict(self.key_values).get(key or "", self.values)


@dataclass(frozen=True, slots=True)
class Family:
    """A kind of technique or load that can be limited on its own.

    `limits` from `barred` upward. `rungs`: rung -> the limit it needs at least. `group`:
    `hands_on`,
    `home` (home exercise by direction or position) or `position` (a position to lie or sit in).
    """

    name: str
    title: str
    group: str
    limits: tuple[str, ...]
    rungs: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Rung:
    """One step of the ladder, from the least upward, with the gate before it."""

    name: str
    title: str
    gate: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ladder:
    """Rungs from `no_treatment` upward, and the families."""

    rungs: tuple[Rung, ...]
    families: tuple[Family, ...]

    def family(self, name: str) -> Family:
        """The family called `name`; KeyError when there is none."""
        for family in self.families:
            if family.name == name:
                return family
        raise KeyError(name)

    @property
    def rung_names(self) -> tuple[str, ...]:
        """Rung names, least first."""
        return tuple(rung.name for rung in self.rungs)

    def of_group(self, group: str) -> tuple[Family, ...]:
        """The families of one group, in declared order."""
        return tuple(family for family in self.families if family.group == group)


def slot_name(conclusion: str, key: str | None = None, level: str | None = None) -> str:
    """`limit`, `thrust`, `L5` -> `limit.thrust@L5`."""
    name = f"{conclusion}.{key}" if key else conclusion
    return f"{name}@{level}" if level else name


def at_level(name: str, level: str | None) -> str:
    """The grounded name of a segment finding, feature or slot: `segment.x` at L5 ->
    `segment.x@L5`."""
    return f"{name}@{level}" if level else name
