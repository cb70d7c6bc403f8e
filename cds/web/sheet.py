"""The case sheet as data for its template: the parts of a visit, their questions, what was typed.

Order and words come from the rule book: parts from `visit`, questions from findings and blocks. A
finding that no part names is asked in a last part, so that nothing can be recorded nowhere. Parts
named `course`, `levels` and `consent` also hold what a case has beside findings: earlier sessions,
palpated sides, consents. A book that names none of them has them at the end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from cds.explain.words import word
from cds.rulebook.program import Program
from cds.vocabulary.model import LEVELS, Finding, Kind, Scope
from cds.vocabulary.reading_parts import POSITIONS
from cds.vocabulary.values import Missing
from cds.vocabulary.vocabulary import SEGMENT

DASH = " - "
"""Between a question and what it names."""
REASONS = (Missing.PATIENT_UNSURE, Missing.DECLINED, Missing.CANNOT_ASSESS)
OWN = {"course": "Earlier sessions", "levels": "Levels", "consent": "Consent"}
"""Parts with fields of the sheet's own, and their titles where the book has no such part."""
LAST_PARTS = (
    ("settled", "Soreness after it settled", ("within_24h", "within_48h", "longer", "not_settled")),
    ("spread", "Pain spread into a leg, or further down it", ("none", "proximal", "distal")),
    ("stop_sign", "A stop sign during it", ("no", "yes")),
    ("adverse", "Any other adverse response", ("none", "minor", "serious")),
)
"""What is asked of the last session where it did not just settle: part, words, answers."""
CONSENT_POINTS = (
    ("capacity", "The patient can decide this"),
    ("risks_given", "Risks were said"),
    ("alternative_given", "The alternative was said"),
)
SHORT_SCALE = 12
"""Scores with at most so many values are a row of buttons, longer ones a number field."""


@dataclass(frozen=True, slots=True)
class Option:
    """One word that may be chosen, and how it is said."""

    value: str
    text: str
    adverse: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """One question. `name` is the field; `options` empty: a number between `low` and `high`.

    `ask` and `hint` are its words up to the first dash and after it. `always`: asked of everyone,
    not only where an earlier answer makes it matter. `ends`: the field that ends a positive of it.
    """

    finding: str
    name: str
    ask: str
    title: str
    kind: str
    options: tuple[Option, ...] = ()
    unit: str = ""
    low: str = ""
    high: str = ""
    step: str = "1"
    alone: bool = False
    hint: str = ""
    always: bool = True
    ends: str = ""
    by_value: bool = False


@dataclass(frozen=True, slots=True)
class BlockAsked:
    """Questions that one "none of these" may answer."""

    block: str
    name: str
    ask: str
    questions: tuple[Question, ...]
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the visit: single questions and blocks, in the order of asking."""

    id: str
    title: str
    asks: tuple[Question | BlockAsked, ...] = field(default=())


def question(finding: Finding, prefix: str = "a.") -> Question:
    """The question of one finding, named by `prefix` and its bare name."""
    bare = finding.name.removeprefix(SEGMENT)
    options: tuple[Option, ...] = ()
    low = "" if finding.low is None else format(finding.low, "f")
    high = "" if finding.high is None else format(finding.high, "f")
    if not finding.numeric:
        options = tuple(Option(v, word(v), v in finding.adverse) for v in finding.values)
    elif finding.kind is Kind.SCORE and finding.low is not None and finding.high is not None:
        values = range(int(finding.low), int(finding.high) + 1)
        if len(values) <= SHORT_SCALE and finding.step == Decimal(1):
            options = tuple(Option(str(v), str(v)) for v in values)
    ask, _, hint = finding.ask.partition(DASH)
    unit = {"{points}": "points", "d": "days", "1": ""}.get(finding.unit or "", finding.unit or "")
    return Question(
        finding.name,
        f"{prefix}{bare}",
        ask,
        finding.title,
        finding.kind.value,
        options,
        unit,
        low,
        high,
        format(finding.step, "f"),
        finding.ask_alone,
        hint,
        finding.applies_when is None,
        f"{prefix.removesuffix('a.')}r.{bare}",
        finding.numeric and bool(options),
    )


def parts(program: Program) -> tuple[Part, ...]:
    """The parts of a visit, each with what it asks of the whole case."""
    placed: set[str] = set()
    found: list[Part] = []
    for part in program.visit:
        asks = tuple(_asks(program, part.asks, placed))
        if asks or part.id in OWN:
            found.append(Part(part.id, part.title, asks))
    rest = [n for n, f in program.findings.items() if f.scope is Scope.CASE and n not in placed]
    if rest:
        names = dict.fromkeys(program.findings[name].block or name for name in rest)
        found.append(Part("also", "Also", tuple(_asks(program, tuple(names), placed))))
    present = {part.id for part in found}
    found += [Part(name, title) for name, title in OWN.items() if name not in present]
    return tuple(found)


def _asks(
    program: Program, names: tuple[str, ...], placed: set[str]
) -> Iterator[Question | BlockAsked]:
    for name in names:
        block = program.blocks.get(name)
        if block is not None:
            placed.update(block.findings)
            members = tuple(question(program.findings[member]) for member in block.findings)
            ask, _, hint = block.ask.partition(DASH)
            yield BlockAsked(name, f"b.{name}", ask, members, hint)
        elif program.findings[name].scope is Scope.CASE:
            placed.add(name)
            yield question(program.findings[name])


def level_questions(program: Program) -> tuple[Finding, ...]:
    """Findings of one level, as the visit orders them."""
    order = [name for part in program.visit for name in part.asks if name.startswith(SEGMENT)]
    names = [name for name in program.findings if name.startswith(SEGMENT)]
    ranked = sorted(names, key=lambda n: order.index(n) if n in order else len(order))
    return tuple(program.findings[name] for name in ranked)


@dataclass(frozen=True, slots=True)
class LevelRow:
    """One level of the examination: where to mark the prominent side, and what else is asked."""

    level: str
    listed: str
    positions: tuple[tuple[str, str], ...]
    questions: tuple[Question, ...]


def level_rows(program: Program) -> tuple[LevelRow, ...]:
    """The levels from above downward."""
    asked = level_questions(program)
    return tuple(
        LevelRow(
            level,
            f"s.{level}",
            tuple((position, f"s.{level}.{position}") for position in POSITIONS),
            tuple(question(finding, f"s.{level}.a.") for finding in asked),
        )
        for level in LEVELS
    )
