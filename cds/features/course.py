"""The earlier sessions of the episode: how many, how long ago, by whom, and what pain did since.

An empty course is known: this is session 1, and no feature of an earlier session applies. A course
that was not sent is unknown in everything, but for being session 1 or later.
"""

from __future__ import annotations

from cds.features.gain import gain_features
from cds.features.last import last_features, masked
from cds.features.record import MASKING, PAIN, Features, Record, points, put
from cds.features.uncertain import (
    YES_NO,
    among,
    amount,
    choice,
    difference,
    every,
    opposite,
    possible,
    said,
    some,
    truth,
)
from cds.vocabulary.case import Session
from cds.vocabulary.computed import ADVERSE, COMPARABLE, SPREAD
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Tri

CHANGE = (PAIN[0] - PAIN[1], PAIN[1] - PAIN[0])
"""The widest change of pain, in points."""

OF_EARLIER_SESSIONS = (
    "days_since_last_session", "days_since_first_session", "gap", "new_therapist", "last_rung",
    "last_tolerated", "sessions_without_gain", "sessions_worse", "sessions_pain_flat",
    "guarding_within_last",
    "guarding_between", "pain_within_last", "pain_between", "pain_since_first", "settled_48h",
    "adverse_last", "thrust_adverse_in_episode", "stop_sign_last", "spread_last",
    "comparable_last", "stepped_down_last", "worsened_at_last", "rung_ceiling_after_step_down",
)  # fmt: skip
"""Features that do not apply where the course is empty."""


def course_features(record: Record) -> Features:
    """Every feature of the course; see `cds.vocabulary.computed`."""
    course = record.course
    found: Features = {}
    if course is None:
        found["session_number"] = Amount(1, None)
        put(found, "response_masked", truth(some(_masked_today(record), Tri.UNKNOWN)))
        return found
    found["session_number"] = Amount(len(course) + 1, len(course) + 1)
    if not course:
        found.update(dict.fromkeys(OF_EARLIER_SESSIONS, NOT_APPLICABLE))
        # What was taken today masks the response of a first session too.
        put(found, "response_masked", truth(_masked_today(record)))
        return found
    first, last = course[0], course[-1]
    days = record.days_since(last.on)
    since_first = record.days_since(first.on)
    found["days_since_last_session"] = Amount(days, days)
    found["days_since_first_session"] = Amount(since_first, since_first)
    found["gap"] = Choice(("yes",) if days > record.parameter("gap_days") else ("no",))
    put(found, "new_therapist", truth(opposite(same_therapist(record, last))))
    put(found, "pain_between", amount(difference(record.pain, points(last.pain_after)), CHANGE))
    since = difference(record.pain, points(first.pain_before))
    put(found, "pain_since_first", amount(since, CHANGE))
    put(found, "response_masked", truth(some(_masked_today(record), masked(last))))
    put(found, "thrust_adverse_in_episode", truth(_thrust_adverse(course)))
    _said_of_last(found, last)
    found.update(last_features(record, course))
    found.update(gain_features(record, course))
    return found


def same_therapist(record: Record, session: Session) -> Tri:
    """Whether today's clinician gave the session; unknown where either is not named."""
    if record.case.clinician is None or session.therapist is None:
        return Tri.UNKNOWN
    return Tri.TRUE if record.case.clinician == session.therapist else Tri.FALSE


def _masked_today(record: Record) -> Tri:
    words = record.words("medicine_today")
    return Tri.UNKNOWN if words is None else among(words, (*MASKING, "yes"))


def _thrust_adverse(course: tuple[Session, ...]) -> Tri:
    """A thrust in a session with any adverse response, minor ones too: the careful reading.

    A session with several rungs does not say which one did it; the thrust counts.
    """
    return some(
        *(
            every(
                _thrust_given(session),
                said(session.adverse, ADVERSE[1:], ADVERSE[:1]),
            )
            for session in course
        )
    )


def _thrust_given(session: Session) -> Tri:
    if session.given is None:
        return Tri.UNKNOWN
    return Tri.TRUE if any(given.rung == "thrust" for given in session.given) else Tri.FALSE


def _said_of_last(found: Features, last: Session) -> None:
    put(found, "adverse_last", choice(possible(last.adverse, ADVERSE), ADVERSE))
    put(found, "stop_sign_last", choice(possible(last.stop_sign, YES_NO), YES_NO))
    put(found, "spread_last", choice(possible(last.spread, SPREAD), SPREAD))
    put(found, "comparable_last", choice(possible(last.comparable_sign, COMPARABLE), COMPARABLE))
