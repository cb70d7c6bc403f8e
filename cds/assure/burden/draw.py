"""Draws patients and visits from a population: plain, seeded, independent of any rule book."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from random import Random
from typing import Any

from cds.assure.burden.population import UNKNOWN, Condition, Entry, Population, Stratum, Words

LEVELS_OF_VISIT = (("L5",), ("L4",), ("L3",), ("L4", "L5"), ("L2", "L5"))
"""Levels a therapist lists (invented, common practice: the lowest levels most)."""

PROMINENCES = (
    ("symmetric", "left", "left"),
    ("symmetric", "right", "right"),
    ("left", "left", "symmetric"),
    ("right", "right", "symmetric"),
)
"""Prominent side in flexion, neutral, extension: the four plain flexed and extended patterns."""

SEGMENT = "segment."
RESOLUTION = 1_000
"""Numbers are drawn in thousandths and rounded to the finding's step by whoever sends them."""

Answer = str | Decimal | None
"""A word, a number, or None: the patient or examiner cannot say."""


@dataclass(frozen=True, slots=True)
class Level:
    """One listed level: prominences, and answers by bare name (`provocation`)."""

    level: str
    prominent: tuple[str, str, str]
    answers: dict[str, Answer]


@dataclass(frozen=True, slots=True)
class Patient:
    """What is true of one patient at a visit; whoever asks, hears this.

    `flags` counts red flag items. `sessions` are earlier ones, oldest first, as a case has them.
    `first` is the first session's day; equal to the as-of date at a first visit.
    """

    number: int
    age: int
    sex: str
    stratum: str
    condition: str
    answers: dict[str, Answer]
    levels: tuple[Level, ...]
    consents: bool
    flags: int
    as_of: date
    sessions: tuple[dict[str, Any], ...] = ()
    events: frozenset[str] = field(default_factory=frozenset)

    @property
    def follow_up(self) -> bool:
        """Whether there were earlier sessions."""
        return bool(self.sessions)

    @property
    def first(self) -> date:
        """The day of the first session."""
        return date.fromisoformat(self.sessions[0]["on"]) if self.sessions else self.as_of


def first_visits(population: Population, seed: int | None = None) -> Iterator[Patient]:
    """Patients at their first visit, without end. Each has a generator of its own."""
    start = population.seed if seed is None else seed
    number = 0
    while True:
        yield _patient(population, Random(f"first {start} {number}"), number)
        number += 1


def follow_up(population: Population, patient: Patient, seed: int | None = None) -> Patient:
    """The same patient at a later visit: earlier sessions, and what is new or has changed."""
    start = population.seed if seed is None else seed
    rng = Random(f"later {start} {patient.number}")
    answers = dict(patient.answers)
    for entry in population.events:
        answers[entry.name] = _answer(rng, entry, answers, patient.age, patient.sex, "none")
    return replace(
        patient,
        answers=answers,
        sessions=_sessions(population, rng, patient),
        events=frozenset(entry.name for entry in population.events),
    )


def _patient(population: Population, rng: Random, number: int) -> Patient:
    stratum = _of_strata(rng, population.strata)
    age = rng.randint(*stratum.ages)
    sex = "female" if rng.random() < stratum.female else "male"
    condition = _of_conditions(rng, population.conditions)
    answers: dict[str, Answer] = {}
    flags = sum(low <= age <= high for low, high in population.flag_ages)
    own = [entry for entry in population.findings if not entry.name.startswith(SEGMENT)]
    for entry in own:
        found = _answer(rng, entry, answers, age, sex, condition)
        answers[entry.name] = found
        flags += found in entry.flag
    chosen = LEVELS_OF_VISIT[rng.randrange(len(LEVELS_OF_VISIT))]
    of_level = [entry for entry in population.findings if entry.name.startswith(SEGMENT)]
    levels = tuple(
        Level(
            level,
            PROMINENCES[rng.randrange(len(PROMINENCES))],
            {
                entry.name.removeprefix(SEGMENT): _answer(rng, entry, answers, age, sex, condition)
                for entry in of_level
            },
        )
        for level in chosen
    )
    consents = rng.random() < population.consent
    return Patient(
        number, age, sex, stratum.id, condition, answers, levels, consents, flags, population.as_of
    )


def _of_strata(rng: Random, strata: tuple[Stratum, ...]) -> Stratum:
    at = rng.random()
    for stratum in strata:
        at -= stratum.share
        if at < 0:
            return stratum
    return strata[-1]


def _of_conditions(rng: Random, conditions: tuple[Condition, ...]) -> str:
    at = rng.random()
    for condition in conditions:
        at -= condition.share
        if at < 0:
            return condition.id
    return "none"


def _answer(
    rng: Random, entry: Entry, answers: dict[str, Answer], age: int, sex: str, condition: str
) -> Answer:
    # always the same number of draws, so that one entry changed leaves the others as they were
    at, number = rng.random(), rng.random()
    if entry.numbers is not None:
        low, high = entry.numbers
        if at < entry.unknown:
            return None
        part = Decimal(int(number * (RESOLUTION + 1))) / RESOLUTION
        return low + (high - low) * part
    known: dict[str, Answer] = {**answers, "sex": sex, "condition": condition}
    for word, share in table(entry, known, age):
        at -= share
        if at < 0:
            return None if word == UNKNOWN else word
    return entry.otherwise


def table(entry: Entry, known: dict[str, Answer], age: int) -> Words:
    """The words and shares that hold for one patient."""
    for given in entry.given:
        fits = given.age is None or given.age[0] <= age <= given.age[1]
        if fits and all(known.get(name) in words for name, words in given.tests):
            return given.words
    return entry.words


def whole_steps(number: Decimal, step: Decimal) -> Decimal:
    """The nearest multiple of a finding's step."""
    return (number / step).quantize(Decimal(1), ROUND_HALF_UP) * step


def _sessions(population: Population, rng: Random, patient: Patient) -> tuple[dict[str, Any], ...]:
    courses = population.courses
    count = rng.randint(*courses.sessions)
    gaps = [rng.randint(*courses.days_between) for _ in range(count)]
    day = population.as_of - timedelta(days=sum(gaps))
    found: list[dict[str, Any]] = []
    pain = rng.randint(5, 7)
    for place, gap in enumerate(gaps):
        rung = courses.rungs[min(place, len(courses.rungs) - 1)]
        at = {key: rng.random() for key in ("gain", "minor", "longer", "distal", "worsened")}
        gained = at["gain"] < courses.gain
        worse = at["worsened"] < courses.worsened
        after = max(pain - (1 if gained else 0), 1)
        found.append(
            {
                "on": day.isoformat(),
                "therapist": "t-1",
                "given": [{"level": level.level, "rung": rung} for level in patient.levels],
                "advised": rung,
                "guarding_before": "moderate",
                "guarding_after": "marked" if worse else ("mild" if gained else "moderate"),
                "pain_before": pain,
                "pain_after": after,
                "settled": "longer" if at["longer"] < courses.longer else "within_24h",
                "adverse": "minor" if at["minor"] < courses.minor else "none",
                "medicine_before": "none",
                "comparable_sign": "better" if gained else "same",
                "spread": "distal" if at["distal"] < courses.distal else "none",
                "stop_sign": "no",
                "worsened_at": rung if worse else "none",
            }
        )
        pain, day = after, day + timedelta(days=gap)
    return tuple(found)
