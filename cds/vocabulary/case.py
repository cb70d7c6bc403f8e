"""One request, checked: everything recorded of a patient at one moment.

A `Case` is built by `cds.vocabulary.reading.read_case`, which refuses wrong values all at once. It
is a plain record: nothing here is aged or judged. Subject and episode ids are opaque.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from cds.vocabulary.values import Missing, Value

HOW = ("asked", "examined", "record", "by_block", "confirmed_unchanged")
"""How an answer was had."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One recorded answer: a value, or a reason for its missing. Dates default to the as-of date.

    `observed`: the day the value is true of (for "unchanged since": the first-asked day). `asked`:
    the day it was asked or confirmed. `raw` is the value as it was sent, for showing.
    """

    finding: str
    value: Value | None
    missing: Missing | None
    observed: date
    asked: date
    how: str = "asked"
    by: str | None = None
    confirmations: int = 0
    raw: str = ""
    pointer: str = ""


@dataclass(frozen=True, slots=True)
class Resolved:
    """The dated end of a positive: how (examined, imaging, specialist, asked) and by whom.

    `observed`: the day of the answer it ends, where the sender names it.
    """

    finding: str
    on: date
    how: str
    by: str
    level: str | None = None
    observed: date | None = None


@dataclass(frozen=True, slots=True)
class Segment:
    """One level: prominent side in three positions (`symmetric`, `left`, `right`, None unknown).

    `grades` 0-3 per position where given. `answers` by full name (`segment.provocation`).
    """

    level: str
    flexion: str | None = None
    neutral: str | None = None
    extension: str | None = None
    grades: Mapping[str, int] = field(default_factory=dict)
    answers: Mapping[str, tuple[Answer, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Given:
    """What was done at one level in an earlier session."""

    level: str
    rung: str
    side: str | None = None
    technique: str | None = None


@dataclass(frozen=True, slots=True)
class Session:
    """An earlier session of this episode. None is unknown throughout; `pain` 0-10 whole numbers.

    `settled`: within_24h, within_48h, longer, not_settled. `adverse`: none, minor, serious.
    `medicine_before`: none, opioid, sedative, alcohol, injection, other. `comparable_sign`: better,
    same, worse. `spread`: none, proximal, distal. `stop_sign`: yes, no. `worsened_at`: the lowest
    rung at which guarding rose, pain spread distally or a new sign appeared; `none` for nowhere.
    """

    on: date
    therapist: str | None = None
    given: tuple[Given, ...] | None = None
    advised: str | None = None
    guarding_before: str | None = None
    guarding_after: str | None = None
    pain_before: int | None = None
    pain_after: int | None = None
    settled: str | None = None
    adverse: str | None = None
    medicine_before: str | None = None
    comparable_sign: str | None = None
    spread: str | None = None
    stop_sign: str | None = None
    worsened_at: str | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One thing done in the session in progress, in order, and what was seen during or after it."""

    rung: str
    level: str | None = None
    guarding: str | None = None
    pain: int | None = None
    spread: str | None = None
    new_sign: str | None = None
    set_up: str | None = None  # easy, pain, resistance
    card: str | None = None


@dataclass(frozen=True, slots=True)
class ReferralRecord:
    """An earlier referral and what became of it (None: no outcome yet).

    `outcome`: seen_nothing_serious, seen_treated, refused, lost.
    """

    to: str
    urgency: str
    on: date
    outcome: str | None = None
    outcome_on: date | None = None


@dataclass(frozen=True, slots=True)
class Consent:
    """Consent to one family in one region: whose, when, and whether it still stands."""

    family: str
    region: str
    on: date
    by: str
    capacity: str | None = None  # yes, no
    risks_given: str | None = None
    alternative_given: str | None = None
    withdrawn: date | None = None
    interpreter: str | None = None  # not_needed, used, needed_not_had


@dataclass(frozen=True, slots=True)
class Case:
    """One request. `segments`, `course`, `steps` None: not sent (unknown); empty: there are none.

    `age` is in whole years, low to high when the birth date is partial; `sex` female, male, other.
    `training`: family -> yes / no. `referrals_sent` / `consents_sent`: whether the key was sent at
    all; an empty list that was sent says there are none, one that was not sent is unknown.
    """

    as_of: date
    moment: str
    subject: str | None
    episode: str | None
    age_low: int | None
    age_high: int | None
    sex: str | None
    answers: Mapping[str, tuple[Answer, ...]]
    resolved: tuple[Resolved, ...]
    segments: tuple[Segment, ...] | None
    course: tuple[Session, ...] | None
    steps: tuple[Step, ...] | None
    referrals: tuple[ReferralRecord, ...]
    consents: tuple[Consent, ...]
    clinician: str | None
    training: Mapping[str, str]
    referrals_sent: bool = False
    consents_sent: bool = False
