"""The view of a case: standing answers, the order of the course, the highest rung."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from cds.features.record import PAIN, points, put
from cds.vocabulary.case import Given
from cds.vocabulary.computed import GUARDING, RUNGS
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice
from tests.features.cases import FINDINGS, a_record, a_session


def test_guarding_and_pain_are_whole_ranges_where_unknown() -> None:
    assert a_record().guarding == GUARDING
    assert a_record().pain == PAIN
    assert a_record({"guarding": NOT_APPLICABLE, "pain": NOT_APPLICABLE}).guarding == GUARDING


def test_guarding_and_pain_as_recorded() -> None:
    known = a_record({"guarding": Choice(("mild", "marked")), "pain": Amount(3, None)})
    assert known.guarding == ("mild", "marked")
    assert known.pain == (3, 10)


def test_pain_in_half_points_widens_to_whole_points() -> None:
    half = replace(FINDINGS["pain"], step=Decimal("0.5"))
    record = replace(a_record({"pain": 7}), findings={"pain": half})
    assert record.pain == (3, 4)


def test_parameters_fall_back_to_what_holds_without_them() -> None:
    assert a_record().parameter("gap_days") == 14
    assert a_record(None, {"gap_days": 10}).parameter("gap_days") == 10
    with pytest.raises(KeyError):
        a_record().parameter("strange")


def test_the_course_is_oldest_first() -> None:
    old, new = a_session(9), a_session(2)
    assert a_record(course=(new, old)).course == (old, new)
    assert a_record().course is None


def test_the_highest_rung_given() -> None:
    record = a_record()
    assert record.highest_given(a_session(1, "mobilization_2", "muscle_energy")) == (
        "mobilization_2",
    )
    assert record.highest_given(a_session(1)) == RUNGS
    assert record.highest_given(replace(a_session(1), given=())) == ("no_treatment",)
    strange = replace(a_session(1), given=(Given("L5", "strange"),))
    assert record.highest_given(strange) == RUNGS


def test_points_and_put() -> None:
    assert points(None) == PAIN
    assert points(4) == (4, 4)
    found: dict[str, object] = {}
    put(found, "a", None)  # type: ignore[arg-type]
    put(found, "b", NOT_APPLICABLE)  # type: ignore[arg-type]
    assert found == {"b": NOT_APPLICABLE}
