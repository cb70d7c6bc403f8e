"""The course as a whole."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cds.features.course import OF_EARLIER_SESSIONS, course_features
from cds.vocabulary.case import Session
from cds.vocabulary.computed import FEATURES
from tests.features.cases import a_record, a_session, plain


def found(
    name: str, *course: Session, clinician: str | None = "t-1", **standing: str | int
) -> object:
    return plain(course_features(a_record(standing, course=course, clinician=clinician)).get(name))


def test_an_empty_course_is_the_first_session() -> None:
    known = course_features(a_record(course=()))
    assert plain(known.pop("session_number")) == 1
    assert set(known) == set(OF_EARLIER_SESSIONS)
    assert {plain(value) for value in known.values()} == {"n/a"}


def test_the_list_of_earlier_features_is_whole() -> None:
    read_course = {name for name, f in FEATURES.items() if "course" in f.reads}
    assert read_course == {
        *OF_EARLIER_SESSIONS, "session_number", "response_masked", "segment.reached_rung",
        "pain_response",
    }  # fmt: skip


def test_a_missing_course_is_unknown() -> None:
    known = course_features(a_record({"pain": 3, "guarding": "mild"}))
    assert {name: plain(value) for name, value in known.items()} == {"session_number": (1, None)}


def test_number_and_days() -> None:
    course = (a_session(30), a_session(9), a_session(2))
    assert found("session_number", *course) == 4
    assert found("days_since_last_session", *course) == 2
    assert found("days_since_first_session", *course) == 30


@pytest.mark.parametrize(("days", "gap"), [(0, "no"), (14, "no"), (15, "yes")])
def test_a_gap_is_more_than_the_declared_days(days: int, gap: str) -> None:
    assert found("gap", a_session(days)) == gap


def test_the_gap_is_declared() -> None:
    record = a_record(None, {"gap_days": 7}, course=(a_session(8),))
    assert plain(course_features(record)["gap"]) == "yes"


def test_another_therapist() -> None:
    assert found("new_therapist", a_session(therapist="t-1")) == "no"
    assert found("new_therapist", a_session(therapist="t-2")) == "yes"
    assert found("new_therapist", a_session()) == "unknown"
    assert found("new_therapist", a_session(therapist="t-1"), clinician=None) == "unknown"


def test_pain_since_the_last_and_the_first_session() -> None:
    course = (a_session(9, pain_before=7), a_session(2, pain_after=3))
    assert found("pain_between", *course, pain=4) == 1
    assert found("pain_since_first", *course, pain=4) == -3
    assert found("pain_between", *course) == (-3, 7)
    assert found("pain_since_first", a_session(), pain=4) == (-6, 4)
    assert found("pain_between", a_session()) == "unknown"


@pytest.mark.parametrize(
    ("before", "today", "masked"),
    [
        ("none", "none", "no"),
        ("other", "other", "no"),
        ("opioid", "none", "yes"),
        ("sedative", None, "yes"),
        ("none", "alcohol", "yes"),
        (None, "injection", "yes"),
        (None, "none", "unknown"),
        ("none", None, "unknown"),
    ],
)
def test_a_masked_response(before: str | None, today: str | None, masked: str) -> None:
    standing = {"medicine_today": today} if today else {}
    session = a_session(medicine_before=before)
    assert found("response_masked", session, **standing) == masked


def test_only_the_last_session_masks() -> None:
    course = (a_session(9, medicine_before="opioid"), a_session(2, medicine_before="none"))
    assert found("response_masked", *course, medicine_today="none") == "no"


def test_a_first_session_is_masked_by_what_was_taken_today() -> None:
    assert found("response_masked", medicine_today="opioid") == "yes"
    assert found("response_masked", medicine_today="none") == "no"
    assert found("response_masked") == "unknown"


def test_an_adverse_response_to_a_thrust_lasts_for_the_episode() -> None:
    thrust = a_session(20, "mobilization_4", "thrust", adverse="minor")
    calm = a_session(3, "muscle_energy", adverse="none")
    name = "thrust_adverse_in_episode"
    assert found(name, thrust, calm) == "yes"
    assert found(name, replace(thrust, adverse="none"), calm) == "no"
    assert found(name, replace(thrust, adverse=None), calm) == "unknown"
    assert found(name, replace(thrust, given=None), calm) == "unknown"
    assert found(name, replace(calm, adverse="serious")) == "no"
    assert found(name, replace(thrust, given=()), calm) == "no"


@pytest.mark.parametrize(
    ("name", "field", "word"),
    [
        ("adverse_last", "adverse", "minor"),
        ("stop_sign_last", "stop_sign", "yes"),
        ("spread_last", "spread", "distal"),
        ("comparable_last", "comparable_sign", "better"),
    ],
)
def test_what_was_said_of_the_last_session(name: str, field: str, word: str) -> None:
    last = a_session(2, **{field: word})
    assert found(name, a_session(9), last) == word
    assert found(name, last, a_session(1)) == "unknown"
