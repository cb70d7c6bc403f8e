"""Every fixture decided once for each process, for tests that hold over all of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from cds.decide import Decider
from cds.vocabulary.advice import Advice
from cds.vocabulary.case import Case
from tests.support.expected import texts
from tests.support.fixtures import Fixture, decider, folder
from tests.support.runner import case_of


@dataclass(frozen=True)
class Decided:
    """One fixture, its case and its full advice."""

    fixture: Fixture
    decider: Decider
    case: Case
    advice: Advice


@cache
def all_decided() -> tuple[Decided, ...]:
    """Invented and published cases."""
    found = []
    for fixture in [f for name in ("cases", "published") for f in folder(name)]:
        deciding, case = decider(fixture.policy), case_of(fixture)
        found.append(Decided(fixture, deciding, case, deciding.decide(case)))
    return tuple(found)


def one(name: str) -> Decided:
    """The fixture of this name."""
    return next(item for item in all_decided() if item.fixture.name == name)


def strings(value: Any) -> list[str]:
    """Every text within plain data."""
    return list(texts(value))
