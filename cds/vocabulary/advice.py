"""The shape of an advice: what one case gets back, as plain JSON without floating-point numbers.

Every scale stands in a `Scale`: as it is advised now, with its bounds while questions are open.
Numbers that were recorded appear as decimal strings. Field order is the order of reading.
"""

from __future__ import annotations

from typing import NotRequired, TypedDict

from cds.vocabulary.reasons import NotMade, WhyNot


class Scale(TypedDict):
    """A word now, and the most and least careful it could become when open questions are
    answered."""

    now: str
    most_careful: str
    least_careful: str


class Headline(TypedDict):
    """The one headline, and the second line: what was asked and how long ago."""

    kind: str
    text: str
    second: str


class Referral(TypedDict):
    """To whom, how urgently, within how long, why (rule ids), and whether a fired rule says so."""

    to: str
    title: str
    urgency: Scale
    within: str
    rules: list[str]
    held_only: bool


class Concern(TypedDict):
    """The level of concern for one serious condition."""

    condition: str
    title: str
    level: Scale
    rules: list[str]


class Holder(TypedDict):
    """A rule that limits: fired, or held while unknown."""

    rule: str
    title: str
    status: str
    basis: str
    value: str
    binding: bool


class Limit(TypedDict):
    """The most of one family that the rules leave open, for the case or one level."""

    family: str
    title: str
    group: str
    level: NotRequired[str]
    most: Scale
    contraindications: list[Holder]
    policy: list[Holder]
    others: list[Holder]


class PathStep(TypedDict):
    """One rung of today's path and what must be true before it."""

    rung: str
    title: str
    gate: list[str]


class Path(TypedDict):
    """Today's treatment of one level."""

    start_at: str
    up_to: Scale
    target: str
    steps: list[PathStep]
    step_down_to: list[str]


class CardText(TypedDict):
    """A technique card, its sides and level filled in.

    `if_not_tolerated`: what to do where the patient does not tolerate the position.
    """

    id: str
    title: str
    rungs: list[str]
    side: NotRequired[str]
    position: str
    set_up: list[str]
    effort: str
    dose: dict[str, str]
    feel: str
    stop: list[str]
    if_not_tolerated: str
    evidence: list[str]


class WithoutCard(TypedDict):
    """A rung of today's path for which no technique card is open, and why."""

    rung: str
    reason: str


class SegmentAdvice(TypedDict):
    """One level, in the order of treatment.

    `bilateral`: none, flexed or extended, where an even level is restricted on both sides; unknown
    while that was not tested. `confidence` is `low` or `very_low`, never more, with its reasons.
    `alternatives` are cards for the same rungs in another position that is open today.
    """

    level: str
    treat_today: bool
    order: int
    reason: str
    pattern: str
    sides: dict[str, str]
    bilateral: str
    confidence: str
    confidence_reasons: list[str]
    reliability: str
    indicated: list[str]
    path: Path
    cards: list[CardText]
    alternatives: list[CardText]
    without_card: list[WithoutCard]
    not_made: NotRequired[list[NotMade]]


class ExerciseText(TypedDict):
    """A home exercise, its sides and level filled in."""

    id: str
    title: str
    level: NotRequired[str]
    side: NotRequired[str]
    how: list[str]
    dose: str
    stop: list[str]
    evidence: list[str]


class SaidText(TypedDict):
    """A sentence chosen by a rule."""

    id: str
    text: str
    rule: str
    level: NotRequired[str]


class ConsentPoint(TypedDict):
    """What a patient is told before consenting to today's path, and what it rests on."""

    id: str
    text: str
    evidence: list[str]


class Information(TypedDict):
    """A score or prediction for reading, never for deciding; a compact advice has ids and titles.

    `values` are exact: whole numbers, decimals, fractions as words. `prior` names where a
    probability starts from. `weaknesses` belong to the number and are shown with it.
    """

    id: str
    title: str
    of: NotRequired[str]
    values: NotRequired[dict[str, str]]
    prior: NotRequired[str]
    text: NotRequired[str]
    weaknesses: NotRequired[list[str]]
    inputs: NotRequired[list[str]]
    evidence: NotRequired[list[str]]


class NextStep(TypedDict):
    """What the course does next, and the rules that say so.

    `once_answered`: the step forward that waits for open questions; until then the course
    continues.
    """

    step: str
    rules: list[str]
    once_answered: NotRequired[str]


class Test(TypedDict):
    """One test that decided a step, with the value it saw and where that stands.

    `input` names a recorded answer or feature of `chain.inputs`; `steps` are earlier steps of the
    chain; `ruled_out` are rules that could have concluded it and did not; `policy` is a choice of
    local governance.
    """

    text: str
    result: str
    input: NotRequired[str]
    policy: NotRequired[str]
    value: NotRequired[str]
    steps: NotRequired[list[int]]
    ruled_out: NotRequired[list[str]]


class Concluded(TypedDict):
    """One conclusion of a step."""

    slot: str
    value: str


class ChainStep(TypedDict):
    """One rule firing, or an open rule that holds something."""

    number: int
    rule: str
    title: str
    status: str
    level: NotRequired[str]
    side: NotRequired[str]
    phase: str
    basis: NotRequired[str]
    tests: list[Test]
    conclusions: list[Concluded]
    because: str
    sources: list[str]


class ChainInput(TypedDict):
    """One input that was known: `value` is a word or decimal, `one_of` / `from`, `to` when
    inexact."""

    name: str
    value: NotRequired[str]
    one_of: NotRequired[list[str]]
    low: NotRequired[str]
    high: NotRequired[str]
    not_applicable: NotRequired[bool]


class OpenRule(TypedDict):
    """A rule that is open, and what it holds (empty: nothing)."""

    rule: str
    level: NotRequired[str]
    side: NotRequired[str]
    holds: list[str]


class Chain(TypedDict):
    """The ordered steps, every known input, the open rules, and a digest over all of it."""

    steps: list[ChainStep]
    open: list[OpenRule]
    inputs: list[ChainInput]
    levels: list[str]
    digest: str


class OpenQuestion(TypedDict):
    """A question whose answer could change the advice.

    `owed`: some open rule holds something until it is answered; else it is only used if recorded.
    """

    finding: str
    level: NotRequired[str]
    ask: str
    reason: str
    alone: bool
    block: NotRequired[str]
    owed: bool
    holds_hands_on: bool
    could: dict[str, str]
    rules: list[str]


class AnswerUsed(TypedDict):
    """An answer that counted."""

    finding: str
    value: str
    observed: str
    age_days: int
    how: str
    by: NotRequired[str]


class AnswerStale(TypedDict):
    """An answer that no longer counts, with its old value and why."""

    finding: str
    value: str
    observed: str
    why: str


class AnswerMissing(TypedDict):
    """A finding without a value, and the reason."""

    finding: str
    reason: str


class Answers(TypedDict):
    """What the case said, and what became of it."""

    used: list[AnswerUsed]
    stale: list[AnswerStale]
    missing: list[AnswerMissing]
    rejected: list[AnswerStale]


class SourceText(TypedDict):
    """A source that the advice rests on."""

    id: str
    title: str
    year: NotRequired[int]
    status: str


class Edition(TypedDict):
    """Which rule book answered."""

    title: str
    language: int
    digest: str


class Advice(TypedDict):
    """The whole answer for one case."""

    headline: Headline
    status: str
    care_today: Scale
    referrals: list[Referral]
    concerns: list[Concern]
    moment: str
    as_of: str
    segments: list[SegmentAdvice]
    path: Path
    limits: list[Limit]
    home: list[ExerciseText]
    retest: list[SaidText]
    cautions: list[SaidText]
    education: list[SaidText]
    safety_net: list[SaidText]
    consent_points: list[ConsentPoint]
    information: list[Information]
    next_step: NextStep
    why_not: list[WhyNot]
    open_questions: list[OpenQuestion]
    answers: Answers
    chain: Chain
    sources: list[SourceText]
    edition: Edition
    scope_notice: list[str]
    detail: str
