"""Sessions without gain."""

from __future__ import annotations

import pytest

from cds.features.gain import gain_features, gained
from cds.vocabulary.case import Session
from cds.vocabulary.values import Tri
from tests.features.cases import a_record, a_session, plain

NOTHING = {
    "pain_before": 6, "pain_after": 6, "guarding_before": "mild", "guarding_after": "mild",
    "comparable_sign": "same", "medicine_before": "none",
}  # fmt: skip


def session(days_ago: int, rung: str | None = "mobilization_2", **changed: object) -> Session:
    return a_session(days_ago, *([rung] if rung else []), **(NOTHING | changed))


@pytest.mark.parametrize(
    ("changed", "gain"),
    [
        ({}, Tri.FALSE),
        ({"pain_after": 5}, Tri.FALSE),
        ({"pain_after": 4}, Tri.TRUE),
        ({"guarding_after": "none"}, Tri.TRUE),
        ({"comparable_sign": "better"}, Tri.TRUE),
        ({"comparable_sign": "worse"}, Tri.FALSE),
        ({"pain_after": 4, "medicine_before": "opioid"}, Tri.FALSE),
        ({"guarding_after": "none", "medicine_before": "alcohol"}, Tri.FALSE),
        ({"comparable_sign": "better", "medicine_before": "opioid"}, Tri.TRUE),
        ({"pain_after": 4, "medicine_before": None}, Tri.UNKNOWN),
        ({"pain_after": None}, Tri.UNKNOWN),
        ({"comparable_sign": None}, Tri.UNKNOWN),
        ({"comparable_sign": None, "pain_after": 4}, Tri.TRUE),
    ],
)
def test_gained(changed: dict[str, object], gain: Tri) -> None:
    assert gained(session(2, **changed)) is gain


def count(name: str, *course: Session, **standing: int) -> object:
    return plain(gain_features(a_record(standing), course)[name])


@pytest.mark.parametrize(
    ("course", "expected"),
    [
        ([session(9), session(5), session(2)], 3),
        ([session(9), session(5), session(2, pain_after=3)], 0),
        ([session(9), session(5, pain_after=3), session(2)], 1),
        ([session(9, "mobilization_1"), session(5), session(2)], 2),
        ([session(9), session(5, "mobilization_1"), session(2)], 1),
        ([session(9, pain_after=None), session(5), session(2)], (2, 3)),
        ([session(9), session(5, pain_after=None), session(2)], (1, 3)),
        ([session(9), session(5, None), session(2)], (1, 3)),
        ([session(5, None), session(2, None)], (1, 2)),
        ([session(9), session(5, pain_after=3), session(2, pain_after=None)], (0, 1)),
    ],
)
def test_sessions_without_gain(course: list[Session], expected: object) -> None:
    assert count("sessions_without_gain", *course) == expected


def test_gains_that_did_not_last_leave_pain_flat() -> None:
    course = [session(days, pain_after=3) for days in (30, 23, 16, 9, 2)]
    assert count("sessions_without_gain", *course, pain=6) == 0
    assert count("sessions_pain_flat", *course, pain=6) == 5
    assert count("sessions_pain_flat", *course, pain=5) == 5
    assert count("sessions_pain_flat", *course, pain=4) == 0
    assert count("sessions_pain_flat", *course) == (0, 5)


def test_pain_is_flat_since_the_last_fall() -> None:
    course = [session(9, pain_before=8), session(5, pain_before=6), session(2, pain_before=5)]
    assert count("sessions_pain_flat", *course, pain=5) == 2
    unknown = [session(9, pain_before=8), session(5, pain_before=None), session(2, pain_before=5)]
    assert count("sessions_pain_flat", *unknown, pain=5) == (1, 2)


BORNE = {"spread": "none", "adverse": "none", "settled": "within_24h"}
WORSE = {"comparable_sign": "worse"}


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({}, 0),
        (WORSE, 2),
        ({"spread": "distal"}, 2),
        ({"spread": "proximal"}, 0),
        ({"adverse": "serious"}, 2),
        ({"adverse": "minor"}, 0),
        ({"pain_after": 8, "settled": "longer"}, 2),
        ({"pain_after": 7, "settled": "longer"}, 0),
        ({"pain_after": 8, "settled": "within_48h"}, 0),
        ({"comparable_sign": None}, (0, 2)),
        ({"pain_after": 8, "settled": None}, (0, 2)),
    ],
)
def test_sessions_worse(changed: dict[str, object], expected: object) -> None:
    course = [session(days, **(BORNE | changed)) for days in (5, 2)]
    assert count("sessions_worse", *course, pain=6) == expected


def test_sessions_worse_are_counted_from_the_last() -> None:
    good, bad = session(9, **BORNE), session(5, **(BORNE | WORSE))
    assert count("sessions_worse", good, bad, bad, pain=6) == 2
    assert count("sessions_worse", bad, bad, good, pain=6) == 0


def test_pain_at_the_next_visit_counts_where_a_session_did_not_settle() -> None:
    late = session(2, **(BORNE | {"settled": "not_settled"}))
    assert count("sessions_worse", late, pain=8) == 1
    assert count("sessions_worse", late, pain=7) == 0
