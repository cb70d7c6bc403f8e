"""Cases for the tests of `cds.whatif`: fixtures of the shipped book, random books with cases."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from functools import cache
from random import Random
from typing import Any

from cds.decide import Decider
from cds.engine.randombook import random_book
from cds.rulebook.compile import compile_book
from cds.vocabulary.case import Case
from cds.vocabulary.computed import features_for
from cds.vocabulary.reading import read_case
from tests.support.fixtures import FIXTURES, decider, read
from tests.support.randomcase import random_case


@cache
def fixture(name: str) -> Case:
    return read_case(shipped().vocabulary, data(name))


def data(name: str) -> dict[str, Any]:
    return deepcopy(read(FIXTURES / "cases" / f"{name}.yaml").case)


def shipped() -> Decider:
    return decider()


def random_books(
    seed: int, books: int, cases: int, rules: int = 12, findings: int = 4
) -> Iterator[tuple[Decider, Case]]:
    """Small random books whose limits are careful ones, with random cases before a session.

    Little is recorded of them, so that much is asked.
    """
    rng = Random(seed)
    for _ in range(books):
        book = random_book(rng, careful=True, rules=rules, findings=findings)
        every = {**features_for(book.ladder.rung_names), **book.features}
        made = Decider(compile_book(replace(book, features=every)))
        for _ in range(cases):
            case = random_case(rng, made.vocabulary)
            case["moment"] = "before_session"
            case.pop("today", None)
            case["segments"] = case.get("segments", [])[:2]
            for place in (case, *case["segments"]):
                answers = place["answers"]
                place["answers"] = {n: a for n, a in answers.items() if rng.random() < 0.2}
            if not case["segments"] and rng.random() < 0.8:
                case["segments"] = [{"level": "L5", "answers": {}}]
            yield made, read_case(made.vocabulary, case)


def said_by_hand(case: dict[str, Any], says: list[dict[str, Any]]) -> dict[str, Any]:
    """The answers laid over the JSON of a case, the way a therapist's system would send them."""
    found = deepcopy(case)
    day = found["as_of"]
    for one in says:
        if "record" in one:
            raise ValueError("an entry of the record")
        answers, name = found.setdefault("answers", {}), one["finding"]
        if "level" in one:
            answers = next(s for s in found["segments"] if s["level"] == one["level"]).setdefault(
                "answers", {}
            )
            name = name.removeprefix("segment.")
        old = answers.get(name, [])
        older = old if isinstance(old, list) else [old]
        older = [a if isinstance(a, dict) else {"value": a} for a in older]
        kept = [a for a in older if a.get("observed", day) != day]
        answers[name] = [*kept, {"value": one["value"], "observed": day, "asked": day}]
    return found
