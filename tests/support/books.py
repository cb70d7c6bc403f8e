"""Tiny rule books written in Python, for tests of what stands behind the YAML."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from cds.engine.port import Inputs
from cds.rulebook.book import Book, Evidence, Phase, PolicyChoice, Rule, Write
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source
from cds.vocabulary.core import core_conclusions
from cds.vocabulary.model import (
    Conclusion,
    Family,
    Feature,
    Finding,
    Kind,
    Ladder,
    Rung,
    Scope,
)
from cds.vocabulary.values import Amount, Choice, Input, Op

RUNGS = ("no_treatment", "exercise_only", "muscle_energy", "thrust")

LADDER = Ladder(
    tuple(Rung(name, name) for name in RUNGS),
    (
        Family(
            "muscle_energy", "Muscle energy", "hands_on", ("barred", "full"),
            (("muscle_energy", "full"),),
        ),
        Family("thrust", "Thrust", "hands_on", ("barred", "allowed"), (("thrust", "allowed"),)),
    ),
)  # fmt: skip

EVIDENCE = (Evidence(common_practice="invented"),)


def presence(name: str) -> Finding:
    scope = Scope.SEGMENT if name.startswith("segment.") else Scope.CASE
    return Finding(name, Kind.PRESENCE, "?", name, scope, ("no", "yes"), adverse=("yes",))


def choice(name: str, *values: str, ordered: bool = False) -> Finding:
    scope = Scope.SEGMENT if name.startswith("segment.") else Scope.CASE
    return Finding(name, Kind.CHOICE, "?", name, scope, values, ordered)


def number(name: str, step: str = "1") -> Finding:
    return Finding(
        name, Kind.NUMBER, "?", name, unit="cm", step=Decimal(step), low=Decimal(0),
        high=Decimal(100),
    )  # fmt: skip


def asks(name: str, op: Op = Op.IS, *words: str, by: Decimal | None = None) -> Leaf:
    """A test of a finding, `is yes` unless said otherwise."""
    return Leaf(Source.FINDING, name, op, words or (("yes",) if op is Op.IS else ()), by)


def concluded(name: str, op: Op = Op.HOLDS, *words: str) -> Leaf:
    return Leaf(Source.CONCLUSION, name, op, words)


def all_of(*members: Condition) -> Members:
    return Members(Group.ALL, members)


def any_of(*members: Condition) -> Members:
    return Members(Group.ANY, members)


def none_of(*members: Condition) -> Members:
    return Members(Group.NONE, members)


def some_of(at_least: int, *members: Condition) -> Members:
    return Members(Group.SOME, members, at_least)


def rule(
    name: str,
    when: Condition,
    *then: Write,
    holds: tuple[Write, ...] = (),
    for_each: tuple[str, ...] = (),
    phase: Phase = Phase.JUDGE,
) -> Rule:
    return Rule(
        id=name, title=name, topic="t", when=when, then=then, holds=holds, because="b",
        evidence=EVIDENCE, owner="o", approved=None, review_by=None, phase=phase,
        for_each=for_each,
    )  # fmt: skip


def book(
    rules: Iterable[Rule],
    findings: Iterable[Finding],
    conclusions: Iterable[Conclusion] = (),
    features: Iterable[Feature] = (),
    policy: Mapping[str, PolicyChoice] | None = None,
) -> Book:
    core = core_conclusions(("emergency_department",), ("fracture",), LADDER, texts=("note",))
    return Book(
        language=1,
        title="Tiny",
        scope_notice=(),
        findings={entry.name: entry for entry in findings},
        features={entry.name: entry for entry in features},
        conclusions=core | {entry.name: entry for entry in conclusions},
        destinations={"emergency_department": "Emergency"},
        concerns={"fracture": "Fracture"},
        ladder=LADDER,
        policy=dict(policy or {}),
        blocks={},
        rules={entry.id: entry for entry in rules},
        cards={},
        exercises={},
        texts={},
        sources={},
        positional=(),
        parameters={},
    )


def inputs(values: Mapping[str, Input | str | int] | None = None, *levels: str) -> Inputs:
    """Inputs with words as exact choices and whole numbers as exact amounts."""
    found: dict[str, Input] = {}
    for name, value in (values or {}).items():
        if isinstance(value, str):
            found[name] = Choice((value,))
        elif isinstance(value, int):
            found[name] = Amount(value, value)
        else:
            found[name] = value
    return Inputs(found, frozenset(levels))
