from __future__ import annotations

from datetime import date, timedelta

from cds.web.earlier import Before, earlier
from cds.web.form import record_of
from tests.support.shipped import shipped_service
from tests.web.sheets import DAY, first_visit, record_after

VOCABULARY = shipped_service().decider.vocabulary


def known(later: int = 7, **more: str) -> dict[str, Before]:
    _, record = record_of(VOCABULARY, record_after(first_visit(**more)))
    return earlier(VOCABULARY, record, date.fromisoformat(DAY) + timedelta(days=later))


def test_without_a_record_nothing_was_before() -> None:
    assert earlier(VOCABULARY, None, date(2026, 11, 20)) == {}


def test_an_answer_of_the_record_has_its_day_and_by_whom() -> None:
    found = known()["a.night_pain"]
    assert (found.value, found.observed, found.by) == ("none", date.fromisoformat(DAY), "th-1")
    assert found.confirm and found.ends == ()


def test_unchanged_is_offered_only_where_it_would_count() -> None:
    found = known()
    # the book accepts no "unchanged" for what is true of the day alone
    assert not found["a.pain"].confirm and not found["a.guarding"].confirm
    leg = known(**{"a.leg_symptoms": "above_knee", "a.leg_kind": "referred"})
    # nor for the items of the cauda equina while there is any leg symptom
    assert found["a.saddle_sensation"].confirm and not leg["a.saddle_sensation"].confirm
    # nor on the same day, nor later than four weeks, nor after a gap between sessions
    assert not known(later=0)["a.night_pain"].confirm
    assert not known(later=29)["a.night_pain"].confirm
    assert known(later=14)["a.night_pain"].confirm and not known(later=15)["a.night_pain"].confirm
    # a number is asked again; a positive stands by itself
    assert not found["a.duration_days"].confirm
    assert not known(**{"a.bone_disease": "osteoporosis"})["a.bone_disease"].confirm


def test_a_positive_of_an_earlier_day_offers_its_ends() -> None:
    found = known(**{"a.new_trauma": "minor_fall", "a.weight_loss": "yes"})
    assert "asked" in found["a.new_trauma"].ends
    assert VOCABULARY.findings["weight_loss"].ends_by == found["a.weight_loss"].ends or set(
        found["a.weight_loss"].ends
    ) == set(VOCABULARY.findings["weight_loss"].ends_by)
    assert known(later=0, **{"a.new_trauma": "minor_fall"})["a.new_trauma"].ends == ()


def test_a_positive_of_one_level_is_found_at_its_level() -> None:
    found = known(**{"a.slip_history": "yes", "s.L5.a.slip": "grade_1"})["s.L5.a.slip"]
    assert found.value == "grade_1" and found.ends


def test_a_day_before_the_record_offers_nothing() -> None:
    assert not known(later=-5)["a.night_pain"].confirm
