"""The stage of an episode: on its bounds, one day beside them, and as days go on."""

from __future__ import annotations

from datetime import timedelta

import pytest

from cds.features.stage import stage_features
from cds.vocabulary.case import Answer
from cds.vocabulary.values import Amount
from tests.features.cases import AS_OF, a_record, plain


def stage(days: int | Amount, told_days_ago: int = 0) -> object:
    observed = AS_OF - timedelta(days=told_days_ago)
    answer = Answer("duration_days", Amount(0, 0), None, observed, observed)
    record = a_record({"duration_days": days}, answers={"duration_days": (answer,)})
    return plain(stage_features(record).get("stage"))


@pytest.mark.parametrize(
    ("days", "expected"),
    [(0, "acute"), (41, "acute"), (42, "subacute"), (84, "subacute"), (85, "chronic")],
)
def test_bounds(days: int, expected: str) -> None:
    assert stage(days) == expected


@pytest.mark.parametrize(
    ("days", "ago", "expected"),
    [(30, 11, "acute"), (30, 12, "subacute"), (80, 4, "subacute"), (80, 5, "chronic")],
)
def test_days_go_on_after_the_answer(days: int, ago: int, expected: str) -> None:
    assert stage(days, ago) == expected


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        (Amount(30, 50), {"acute", "subacute"}),
        (Amount(50, 60), "subacute"),
        (Amount(90, None), "chronic"),
        (Amount(60, None), {"subacute", "chronic"}),
        (Amount(None, 41), "acute"),
        (Amount(None, 90), "unknown"),
    ],
)
def test_a_span_of_days(days: Amount, expected: object) -> None:
    assert stage(days) == expected


def test_not_recorded_is_unknown() -> None:
    assert stage_features(a_record()) == {}
