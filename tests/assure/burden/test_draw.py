from __future__ import annotations

from decimal import Decimal
from itertools import islice

import pytest

from cds.assure.burden.draw import first_visits, follow_up, whole_steps
from cds.assure.burden.intervals import wilson
from cds.assure.burden.population import UNKNOWN
from tests.assure.burden.support import population

MANY = 4000
Z_MANY = 4.0
"""Wide intervals: dozens of proportions are held against theirs at once."""


def test_a_seed_gives_the_same_patients_and_another_one_gives_others() -> None:
    one = list(islice(first_visits(population(), 7), 20))
    again = list(islice(first_visits(population(), 7), 20))
    other = list(islice(first_visits(population(), 8), 20))
    assert one == again
    assert one != other
    assert [follow_up(population(), p, 7) for p in one] == [
        follow_up(population(), p, 7) for p in again
    ]


def test_a_patient_does_not_depend_on_those_before() -> None:
    few = list(islice(first_visits(population(), 7), 5))
    assert few == list(islice(first_visits(population(), 7), 50))[:5]


def test_proportions_are_within_their_intervals() -> None:
    drawn = list(islice(first_visits(population(), 3), MANY))
    flagged = sum(patient.flags > 0 for patient in drawn)
    low, high = wilson(flagged, MANY)
    assert low <= population().flag_share <= high
    for stratum in population().strata:
        count = sum(patient.stratum == stratum.id for patient in drawn)
        low, high = wilson(count, MANY, Z_MANY)
        assert low <= stratum.share <= high
    for condition in population().conditions:
        count = sum(patient.condition == condition.id for patient in drawn)
        low, high = wilson(count, MANY, Z_MANY)
        assert low <= condition.share <= high
    plain = [e for e in population().findings if e.words and not e.given and "." not in e.name]
    assert len(plain) > 20
    for entry in plain:
        for word, share in entry.words:
            said = None if word == UNKNOWN else word
            count = sum(patient.answers[entry.name] == said for patient in drawn)
            low, high = wilson(count, MANY, Z_MANY)
            assert low <= share <= high, (entry.name, word)


def test_given_tables_are_used_where_their_tests_hold() -> None:
    drawn = list(islice(first_visits(population(), 3), MANY))
    of_age = [p for p in drawn if p.sex == "female" and 18 <= p.age <= 42]
    pregnant = [p for p in drawn if p.answers["pregnancy"] != "no"]
    assert pregnant
    assert all(p in of_age for p in pregnant)
    serious = [p for p in drawn if p.condition == "cauda_equina"]
    assert all(p.answers["leg_symptoms"] == "below_knee" for p in serious)


def test_numbers_stay_in_their_bounds_and_may_be_unknown() -> None:
    drawn = list(islice(first_visits(population(), 3), 500))
    scores = [p.answers["t_score"] for p in drawn]
    assert None in scores
    known = [score for score in scores if isinstance(score, Decimal)]
    assert known
    assert all(Decimal("-3.5") <= score <= Decimal("1.5") for score in known)


def test_a_follow_up_has_a_course_before_today() -> None:
    for patient in islice(first_visits(population(), 3), 50):
        later = follow_up(population(), patient)
        days = [session["on"] for session in later.sessions]
        assert days == sorted(days)
        assert days[-1] < later.as_of.isoformat()
        assert later.follow_up
        assert not patient.follow_up
        assert later.answers["cancer_history"] == patient.answers["cancer_history"]


@pytest.mark.parametrize(
    ("number", "step", "expected"),
    [("2.4", "1", "2"), ("2.5", "1", "3"), ("-2.44", "0.1", "-2.4"), ("7.3", "2.5", "7.5")],
)
def test_numbers_are_rounded_to_steps(number: str, step: str, expected: str) -> None:
    assert whole_steps(Decimal(number), Decimal(step)) == Decimal(expected)
