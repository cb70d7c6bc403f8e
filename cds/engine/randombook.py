"""Seeded random rule books for comparing engines: small, legal, and nastier than a person writes.

Plain `random.Random`, no search and no shrinking, so that a hundred thousand books are minutes. A
book has findings of every kind, rules per level and side, choices, conclusions of every way to
combine, holds, neighbours' limits and prepare rules. `careful=True` keeps also to the direction
check, for laws about adding limits and concerns; otherwise conclusions are read either way.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from random import Random
from typing import Any

from cds.engine.randomrules import RuleMaker
from cds.rulebook.book import Book, Card, Evidence, Exercise, PolicyChoice, Text
from cds.rulebook.conditions import Leaf, Source
from cds.vocabulary.core import PARAMETERS, core_conclusions
from cds.vocabulary.model import (
    Careful,
    Combine,
    Conclusion,
    Family,
    Feature,
    Finding,
    Kind,
    Ladder,
    Rung,
    Scope,
)
from cds.vocabulary.values import Op

REVIEW = date(2027, 1, 1)

COMMON = (Evidence(common_practice="invented for a test"),)

RUNGS = (
    "no_treatment", "exercise_only", "muscle_energy_low", "muscle_energy", "mobilization_1",
    "mobilization_2", "mobilization_3", "mobilization_4", "thrust",
)  # fmt: skip

LADDER = Ladder(
    tuple(Rung(name, name.replace("_", " ")) for name in RUNGS),
    (
        Family(
            "muscle_energy", "Muscle energy", "hands_on", ("barred", "low_force", "full"),
            (("muscle_energy_low", "low_force"), ("muscle_energy", "full")),
        ),
        Family(
            "mobilization", "Mobilization", "hands_on",
            ("barred", "grade_1", "grade_2", "grade_3", "grade_4"),
            tuple((f"mobilization_{n}", f"grade_{n}") for n in range(1, 5)),
        ),
        Family("thrust", "Thrust", "hands_on", ("barred", "allowed"), (("thrust", "allowed"),)),
        Family("home_flexion", "Home flexion", "home", ("barred", "allowed")),
        Family("position_prone", "Lying prone", "position", ("barred", "allowed")),
    ),
)  # fmt: skip

TEXTS = ("mind-this", "test-again", "come-back")


@dataclass(frozen=True, slots=True)
class _Sizes:
    rules: tuple[int, int] = (5, 25)
    findings: tuple[int, int] = (4, 10)
    own: tuple[int, int] = (2, 7)


def random_book(
    rng: Random, careful: bool = False, rules: int | None = None, findings: int | None = None
) -> Book:
    """A random legal book; the same state of `rng` gives the same book.

    `rules` and `findings` fix the sizes, else books are small (5-25 rules).
    """
    sizes = _Sizes()
    count = rules if rules is not None else rng.randint(*sizes.rules)
    asked = findings if findings is not None else rng.randint(*sizes.findings)
    known = _findings(rng, asked)
    conclusions = core_conclusions(
        ("emergency_department", "family_doctor"), ("fracture", "infection"), LADDER,
        ("card-one", "card-two"), ("bend", "walk"), TEXTS,
    )  # fmt: skip
    own = max(rng.randint(*sizes.own), count // 12)
    conclusions |= {c.name: c for c in (_own(rng, n, careful) for n in range(own))}
    book = Book(
        language=1,
        title="Random book",
        scope_notice=("Invented.",),
        findings=known,
        features=_features(),
        conclusions=conclusions,
        destinations={"emergency_department": "Emergency", "family_doctor": "Family doctor"},
        concerns={"fracture": "Fracture", "infection": "Infection"},
        ladder=LADDER,
        policy=_policy(rng),
        blocks={},
        rules={},
        cards={name: _card(name) for name in ("card-one", "card-two")},
        exercises={name: _exercise(name) for name in ("bend", "walk")},
        texts={name: Text(name, name, COMMON) for name in TEXTS},
        sources={},
        positional=(),
        parameters=dict(PARAMETERS),
    )
    maker = RuleMaker(rng, book, careful)
    made = [maker.rule(f"rule-{number}") for number in range(count)]
    return replace(book, rules={rule.id: rule for rule in made})


def shuffled(rng: Random, book: Book) -> Book:
    """The same book as if its files and keys had been written in another order."""

    def mixed(entries: dict[str, Any]) -> dict[str, Any]:
        keys = list(entries)
        rng.shuffle(keys)
        return {key: entries[key] for key in keys}

    names = (
        "findings", "features", "conclusions", "destinations", "concerns", "policy", "rules",
        "cards", "exercises", "texts", "parameters",
    )  # fmt: skip
    changed: dict[str, Any] = {name: mixed(getattr(book, name)) for name in names}
    rules = {
        name: replace(rule, then=tuple(rng.sample(rule.then, len(rule.then))))
        for name, rule in changed["rules"].items()
    }
    families = tuple(rng.sample(book.ladder.families, len(book.ladder.families)))
    changed["rules"] = rules
    return replace(book, ladder=replace(book.ladder, families=families), **changed)


def _findings(rng: Random, count: int) -> dict[str, Finding]:
    found: dict[str, Finding] = {}
    for number in range(count):
        scope = Scope.SEGMENT if rng.random() < 0.3 else Scope.CASE
        name = f"f{number}" if scope is Scope.CASE else f"segment.f{number}"
        found[name] = _finding(rng, name, scope)
    # one of each scope always, and a sided one
    found["always"] = Finding("always", Kind.PRESENCE, "?", "Always", values=("no", "yes"))
    found["segment.prominent"] = Finding(
        "segment.prominent", Kind.CHOICE, "?", "Side", Scope.SEGMENT, ("none", "left", "right"),
        mirror=(("left", "right"), ("right", "left")),
    )  # fmt: skip
    found["main_side"] = Finding(
        "main_side", Kind.CHOICE, "?", "Side", values=("none", "left", "right"),
        mirror=(("left", "right"), ("right", "left")),
    )  # fmt: skip
    if rng.random() < 0.3:
        found["f0_more"] = Finding(
            "f0_more", Kind.PRESENCE, "?", "More", values=("no", "yes"),
            applies_when=Leaf(Source.FINDING, "always", Op.IS, ("yes",)),
        )  # fmt: skip
    return found


def _finding(rng: Random, name: str, scope: Scope) -> Finding:
    kind = rng.choice((Kind.PRESENCE, Kind.PRESENCE, Kind.CHOICE, Kind.NUMBER, Kind.SCORE))
    if kind is Kind.PRESENCE:
        return Finding(name, kind, "?", name, scope, ("no", "yes"), adverse=("yes",))
    if kind is Kind.CHOICE:
        words = tuple("abcd"[: rng.randint(2, 4)])
        return Finding(name, kind, "?", name, scope, words, ordered=rng.random() < 0.5)
    if kind is Kind.SCORE:
        return Finding(name, kind, "?", name, scope, low=Decimal(0), high=Decimal(10))
    return Finding(
        name, kind, "?", name, scope, unit="cm", step=Decimal("0.5"), low=Decimal(0),
        high=Decimal(5),
    )  # fmt: skip


def _features() -> dict[str, Feature]:
    found = [
        Feature("session_number", Kind.COUNT, "Session", low=Decimal(1), high=Decimal(60)),
        Feature("path.up_to", Kind.CHOICE, "Up to", values=RUNGS, ordered=True),
        Feature("path.hands_on", Kind.PRESENCE, "Hands on", values=("no", "yes")),
        Feature(
            "segment.path_up_to", Kind.CHOICE, "Up to here", Scope.SEGMENT, RUNGS, ordered=True
        ),
    ]
    return {feature.name: feature for feature in found}


def _policy(rng: Random) -> dict[str, PolicyChoice]:
    session = rng.randint(1, 8)
    early = rng.choice(("off", "acute"))
    return {
        "session": PolicyChoice(
            "session", "Earliest session", session, (), 1, 12, "invented", COMMON
        ),
        "early": PolicyChoice(
            "early", "Early", early, ("off", "acute"), None, None, "invented", COMMON
        ),
    }


def _own(rng: Random, number: int, careful: bool) -> Conclusion:
    name = f"own{number}"
    scopes = rng.choice(((Scope.CASE,), (Scope.CASE,), (Scope.SEGMENT,), tuple(Scope)))
    combine = rng.choice((Combine.FLAG, *Combine))
    if combine is Combine.FLAG:
        return Conclusion(name, name, combine, scopes)
    if combine is Combine.SET:
        return Conclusion(name, name, combine, scopes, values=("m1", "m2", "m3"))
    if combine is Combine.SINGLE:
        return Conclusion(name, name, combine, (Scope.CASE,), values=("none", "left", "right"))
    values = tuple(f"v{place}" for place in range(rng.randint(2, 5)))
    lean = rng.choice(tuple(Careful))
    if careful and lean is Careful.LESS and combine is Combine.LOWEST:
        lean = Careful.NEUTRAL  # concluding more of it would be more careful, not less
    mild = values[-1] if combine is Combine.LOWEST else values[0]
    otherwise = mild if careful else rng.choice((None, mild, *values))
    return Conclusion(name, name, combine, scopes, values=values, otherwise=otherwise, careful=lean)


def _exercise(name: str) -> Exercise:
    return Exercise(
        name, name, ("home_flexion",), ("Do it.",), "ten", (), COMMON, owner="nobody",
        review_by=REVIEW,
    )  # fmt: skip


def _card(name: str) -> Card:
    return Card(
        name, name, ("muscle_energy",), "any", "Side lying.", ("position_prone",), ("Hold.",),
        "gentle", (("hold", "5 s"),), "easing", ("pain",), COMMON, owner="nobody", review_by=REVIEW,
    )  # fmt: skip
