"""Published cases: abstracts only, so much stays unknown; the outcome is what the advice must meet.

Three are negative tests: there the paper did what the advice must refuse, and the file says so.
"""

from __future__ import annotations

import pytest

from tests.support.fixtures import Fixture, folder
from tests.support.runner import check_expected, check_kept, check_mirrored

CASES = folder("published")
NEGATIVE = {"C19", "C25", "C26"}
_each = pytest.mark.parametrize("fixture", CASES, ids=[fixture.name for fixture in CASES])


@_each
def test_advice_meets_the_published_outcome(fixture: Fixture) -> None:
    check_expected(fixture)


@_each
def test_advice_keeps_what_every_advice_keeps(fixture: Fixture) -> None:
    check_kept(fixture)


@_each
def test_mirrored_case_gives_mirrored_advice(fixture: Fixture) -> None:
    check_mirrored(fixture)


def test_every_case_is_there_and_the_negative_ones_say_what_differs() -> None:
    assert {fixture.reference["id"][:3] for fixture in CASES} == {f"C{n:02}" for n in range(1, 27)}
    assert {fixture.reference["id"] for fixture in CASES if fixture.differs} == NEGATIVE
