"""The parts of a case that are not answers."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.vocabulary.case import Case, Consent, Given, ReferralRecord, Resolved, Step
from cds.vocabulary.reading import read_case
from cds.vocabulary.reading_parts import age_on
from tests.vocabulary.sample import FULL, TODAY, VOCAB, case


def age(born: str, as_of: str = "2026-11-20") -> tuple[int | None, int | None]:
    data = {"as_of": as_of, "moment": "contact", "patient": {"born": born}}
    read = read_case(VOCAB, data)
    return read.age_low, read.age_high


@pytest.mark.parametrize(
    ("born", "as_of", "ages"),
    [
        ("1992-11-20", "2026-11-20", (34, 34)),
        ("1992-11-21", "2026-11-20", (33, 33)),
        ("1992-11", "2026-11-20", (33, 34)),
        ("1992-12", "2026-11-20", (33, 33)),
        ("1992-10", "2026-11-20", (34, 34)),
        ("1992", "2026-11-20", (33, 34)),
        ("1992", "2026-12-31", (34, 34)),
        ("2026", "2026-11-20", (0, 0)),
        ("2004-02-29", "2026-02-28", (21, 21)),
        ("2004-02-29", "2026-03-01", (22, 22)),
        ("2004-02-29", "2028-02-28", (23, 23)),
        ("2004-02-29", "2028-02-29", (24, 24)),
        ("2004-02", "2026-02-28", (21, 22)),
    ],
)
def test_age_from_a_partial_birth_date(born: str, as_of: str, ages: tuple[int, int]) -> None:
    assert age(born, as_of) == ages


@given(st.dates(date(1910, 1, 1), TODAY))
def test_a_partial_birth_date_never_excludes_the_true_age(born: date) -> None:
    exact = age_on(born, TODAY)
    for part in (4, 7, 10):
        low, high = age(born.isoformat()[:part])
        assert low is not None
        assert high is not None
        assert low <= exact <= high
        assert high - low <= (0 if part == 10 else 1)


def test_age_as_sent() -> None:
    def read(value: Any) -> tuple[int | None, int | None]:
        found = read_case(VOCAB, case(patient={"age": value}))
        return found.age_low, found.age_high

    assert read(34) == (34, 34)
    assert read({"at_least": 30, "at_most": 39}) == (30, 39)


@pytest.fixture(scope="module")
def full() -> Case:
    return read_case(VOCAB, FULL)


def test_course_and_today(full: Case) -> None:
    first, second = full.course or ()
    assert first.given == (Given("L5", "gentle", "left", "card-1"),)
    assert (first.pain_before, first.settled, first.stop_sign) == (6, "within_24h", "no")
    assert (second.given, second.pain_before, second.adverse) == (None, None, None)
    assert full.steps == (Step("gentle", "L5", "mild", 3, "none", "no", "easy", "card-1"),)


def test_papers(full: Case) -> None:
    on = date(2026, 11, 11)
    assert full.referrals == (
        ReferralRecord("physician", "routine", on, "seen_treated", date(2026, 11, 15)),
    )
    assert full.consents == (
        Consent("thrust", "lumbar", TODAY, "s-01", "yes", "yes", "yes", None, "used"),
    )
    assert (full.clinician, full.training) == ("t-1", {"thrust": "yes", "gentle": "no"})
    assert full.resolved[1] == Resolved("segment.slip", date(2026, 11, 18), "imaging", "r-1", "L5")


def test_levels(full: Case) -> None:
    level = (full.segments or ())[1]
    assert (level.level, level.flexion, level.neutral, level.extension) == (
        "L5", "left", "symmetric", "right",
    )  # fmt: skip
    assert level.grades == {"flexion": 2, "extension": 1}
    assert set(level.answers) == {"segment.provocation", "segment.restricted"}
