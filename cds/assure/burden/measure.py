"""The counts: what a book asks and how often it interrupts, over a drawn population.

Rates are counted over visits in which everything that applies was answered; numbers of answers over
dialogues (`cds.assure.burden.dialogue`), of visits in which hands-on care was not stopped. A
follow-up belongs to a patient whose first visit was not stopped.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from cds.assure.burden.dialogue import Count, Visitor
from cds.assure.burden.draw import Patient, first_visits, follow_up
from cds.assure.burden.population import Population
from cds.problems import has_errors
from cds.rulebook.book import Book
from cds.rulebook.checks import check_book
from cds.rulebook.choices import chosen
from cds.rulebook.compile import compile_book
from cds.rulebook.load import load_book
from cds.rulebook.program import Program
from cds.rulebook.vetting import load_program
from cds.vocabulary.advice import Advice
from cds.vocabulary.model import CARE, URGENCIES

INTERRUPTS = ("emergency", "refer", "no_hands_on")
"""Headlines that interrupt a visit."""

URGENT = URGENCIES[URGENCIES.index("urgent") :]
FIRST, LATER = "first visit", "follow-up"
LEG = "leg_symptoms"
"""The finding that says whether a follow-up is one with leg symptoms."""

FLOOR = "earliest_"
"""How policy choices begin that only delay a rung; lifted to see what a thrust asks."""


@dataclass
class Rates:
    """Counts over visits with everything answered. `urgencies`: worst referral of each visit."""

    visits: int = 0
    headlines: Counter[str] = field(default_factory=Counter)
    interrupted: int = 0
    unsettled: int = 0
    either: int = 0
    urgencies: Counter[str] = field(default_factory=Counter)
    rules: Counter[str] = field(default_factory=Counter)
    alone: Counter[str] = field(default_factory=Counter)
    limits: Counter[str] = field(default_factory=Counter)

    @property
    def urgent(self) -> int:
        """Visits with an urgent referral or a worse one."""
        return sum(self.urgencies[word] for word in URGENT)


@dataclass
class Asked:
    """Answers of dialogues by milestone, and how often each question was asked.

    `thrust` of follow-ups: with what the day of a thrust needs had anew. `with_leg`, `without_leg`:
    `settled`, in two parts. `why`: for each question the rules that owed it. `agree`: dialogues
    whose headline is that of the visit with everything answered.
    """

    visits: int = 0
    hands_on: list[Count] = field(default_factory=list)
    settled: list[Count] = field(default_factory=list)
    thrust: list[Count] = field(default_factory=list)
    everything: list[Count] = field(default_factory=list)
    with_leg: list[Count] = field(default_factory=list)
    without_leg: list[Count] = field(default_factory=list)
    never_settled: int = 0
    names: Counter[str] = field(default_factory=Counter)
    why: dict[str, Counter[str]] = field(default_factory=dict)
    agree: int = 0


@dataclass
class Measured:
    """All figures of one book and population.

    `conditions`: serious ones drawn for first visits; `caught`: those referred urgently or worse.
    `skipped`: declared, not in the book; `missing`: in the book, not declared. `titles`: of rules.
    """

    digest: str
    title: str
    population: Population
    seed: int
    flagged: int
    drawn: int
    conditions: Counter[str]
    caught: Counter[str]
    rates: dict[str, Rates]
    asked: dict[str, Asked]
    lifted: Asked | None
    skipped: list[str]
    missing: list[str]
    titles: dict[str, str]


def lift(book: Book) -> Book | None:
    """The book with its floors at their lowest; None when it has none."""
    floors = {
        name: choice.low
        for name, choice in book.policy.items()
        if name.startswith(FLOOR) and choice.low is not None
    }
    return chosen(book, floors) if floors else None


def measure_folder(rules: Path, population: Population) -> Measured:
    """The figures of the rule book under `rules`. Raises `RuleBookError` when it is refused."""
    program = load_program(rules)
    lifted = lift(load_book(rules))
    checked = lifted is not None and not has_errors(check_book(lifted))
    return measure(program, population, compile_book(lifted) if lifted and checked else None)


def measure(
    program: Program,
    population: Population,
    lifted: Program | None = None,
    seed: int | None = None,
) -> Measured:
    """Draw, decide and play. The same program, population and seed give the same figures.

    `lifted`: the same book without its floors, for the answers that a thrust needs.
    """
    visitor = Visitor(program)
    start = population.seed if seed is None else seed
    drawn = list(islice(first_visits(population, start), population.first))
    names = {entry.name for entry in (*population.findings, *population.events)}
    found = Measured(
        digest=program.digest,
        title=program.title,
        population=population,
        seed=start,
        flagged=sum(patient.flags > 0 for patient in drawn),
        drawn=len(drawn),
        conditions=Counter(p.condition for p in drawn if p.condition != "none"),
        caught=Counter(),
        rates={FIRST: Rates(), LATER: Rates()},
        asked={FIRST: Asked(), LATER: Asked()},
        lifted=None,
        skipped=foreign(program, names),
        missing=undeclared(program, names),
        titles={rule.id: rule.title for rule in program.rules.values()},
    )
    going_on: list[Patient] = []
    for patient in drawn:
        advice = visitor.whole(patient)
        urgent_before = found.rates[FIRST].urgent
        tally(found.rates[FIRST], advice)
        if patient.condition != "none":
            found.caught[patient.condition] += found.rates[FIRST].urgent - urgent_before
        if advice["status"] != "stopped":
            going_on.append(patient)
    later = list(_later(visitor, population, start, going_on))
    for patient in later:
        tally(found.rates[LATER], visitor.whole(patient))
    _play_all(found.asked[FIRST], visitor, drawn[: population.dialogues])
    _play_all(found.asked[LATER], visitor, later[: population.dialogues])
    found.asked[LATER].thrust = [
        played.thrust
        for patient in later[: population.dialogues]
        if (played := visitor.play(patient, thrust=True)).thrust is not None
        and played.last["status"] != "stopped"
    ]
    if lifted is not None:
        found.lifted = Asked()
        _play_all(found.lifted, Visitor(lifted), drawn[: population.dialogues])
    return found


def _later(
    visitor: Visitor, population: Population, seed: int, going_on: list[Patient]
) -> Iterator[Patient]:
    """As many follow-ups as are declared: of those drawn, then of further patients."""
    given = 0
    for patient in going_on:
        if given == population.follow_up:
            return
        given += 1
        yield follow_up(population, patient, seed)
    for patient in islice(first_visits(population, seed), population.first, None):
        if given == population.follow_up or patient.number > 20 * population.follow_up:
            return
        if visitor.whole(patient)["status"] != "stopped":
            given += 1
            yield follow_up(population, patient, seed)


def undeclared(program: Program, names: set[str]) -> list[str]:
    """Findings of the book that the population does not have."""
    return [name for name in program.findings if name not in names]


def foreign(program: Program, names: set[str]) -> list[str]:
    """Findings of the population that the book does not have: skipped."""
    return sorted(name for name in names if name not in program.findings)


def tally(rates: Rates, advice: Advice) -> None:
    """Count one visit."""
    rates.visits += 1
    kind = advice["headline"]["kind"]
    interrupted, unsettled = kind in INTERRUPTS, advice["status"] == "ask_first"
    rates.headlines[kind] += 1
    rates.interrupted += interrupted
    rates.unsettled += unsettled
    rates.either += interrupted or unsettled
    fired = [r["urgency"]["least_careful"] for r in advice["referrals"] if not r["held_only"]]
    rates.urgencies[max(fired, key=URGENCIES.index, default="none")] += 1
    rules = interrupting(advice) if interrupted else set()
    rates.rules.update(rules)
    if len(rules) == 1:
        rates.alone.update(rules)
    if unsettled:
        rates.limits.update({rule for q in advice["open_questions"] for rule in q["rules"]})


def interrupting(advice: Advice) -> set[str]:
    """The fired rules that refer urgently or end hands-on care for the whole case."""
    found: set[str] = set()
    bars: dict[str, set[str]] = {}
    for step in advice["chain"]["steps"]:
        if step["status"] != "fired":
            continue
        for said in step["conclusions"]:
            slot, value = said["slot"], said["value"]
            urgent = slot.startswith("referral.") and value in URGENT
            if urgent or (slot == "care_today" and value == CARE[-1]):
                found.add(step["rule"])
            elif slot.startswith("limit.") and "@" not in slot and value == "barred":
                bars.setdefault(slot, set()).add(step["rule"])
    if not found:
        hands_on = {
            f"limit.{limit['family']}"
            for limit in advice["limits"]
            if limit["group"] == "hands_on" and "level" not in limit
        }
        if hands_on <= set(bars):
            found = {rule for slot in hands_on for rule in bars[slot]}
    return found


def _play_all(asked: Asked, visitor: Visitor, patients: list[Patient]) -> None:
    for patient in patients:
        played = visitor.play(patient)
        whole = visitor.whole(patient)
        asked.agree += played.last["headline"]["kind"] == whole["headline"]["kind"]
        if played.last["status"] == "stopped":
            continue
        asked.visits += 1
        asked.names.update(set(played.order))
        for name, rules in played.why.items():
            asked.why.setdefault(name, Counter()).update(rules)
        asked.everything.append(played.everything)
        if played.hands_on is not None:
            asked.hands_on.append(played.hands_on)
        if played.settled is not None:
            asked.settled.append(played.settled)
            leg = patient.answers.get(LEG, "none") != "none"
            (asked.with_leg if leg else asked.without_leg).append(played.settled)
        else:
            asked.never_settled += 1
        if played.thrust is not None:
            asked.thrust.append(played.thrust)
