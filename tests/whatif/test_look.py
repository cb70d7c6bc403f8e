"""A look says what the advice says."""

from __future__ import annotations

from random import Random

from cds.decide import Decider
from cds.vocabulary.case import Case
from cds.vocabulary.model import CARE
from cds.vocabulary.reading import read_case
from cds.whatif.look import look
from tests.support.randomcase import random_case
from tests.whatif.cases import fixture, random_books, shipped

NAMES = ("clinic-1-acute-pattern", "clinic-6-slip-and-group", "clinic-9-latch-in-session",
         "empty-case", "contact-nothing-asked", "screen-blocks-not-asked")  # fmt: skip


def same(decider: Decider, case: Case) -> None:
    advice, seen = decider.decide(case), look(decider, case)
    assert seen.status == advice["status"]
    assert seen.headline["text"] == advice["headline"]["text"]
    assert CARE[seen.paths.now.care] == advice["care_today"]["now"]
    assert seen.paths.now.up_to == advice["path"]["up_to"]["now"]
    assert seen.referrals == advice["referrals"]
    assert seen.concerns == advice["concerns"]
    assert seen.questions == advice["open_questions"]
    assert list(seen.levels) == [segment["level"] for segment in advice["segments"]]
    assert seen.owed == [q for q in advice["open_questions"] if q["owed"]]


def test_fixtures_look_as_they_are_advised() -> None:
    for name in NAMES:
        same(shipped(), fixture(name))


def test_random_cases_look_as_they_are_advised() -> None:
    rng = Random(3)
    for _ in range(10):
        case = read_case(shipped().vocabulary, random_case(rng, shipped().vocabulary))
        same(shipped(), case)
    for decider, case in random_books(4, books=15, cases=4):
        same(decider, case)
