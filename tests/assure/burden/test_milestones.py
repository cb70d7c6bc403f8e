from __future__ import annotations

from typing import Any, cast

import pytest

from cds.assure.burden.milestones import path_settled, thrust_settled
from cds.vocabulary.advice import Advice


def advice(status: str, most: str, least: str) -> Advice:
    bounds = {"now": most, "most_careful": most, "least_careful": least}
    limits: list[dict[str, Any]] = [
        {"family": "mobilization", "most": {**bounds, "least_careful": "grade_4"}},
        {"family": "thrust", "most": bounds},
    ]
    return cast(Advice, {"status": status, "path": {"up_to": bounds}, "limits": limits})


@pytest.mark.parametrize(
    ("status", "least", "owed", "expected"),
    [
        ("settled", "low", True, True),
        ("settled", "high", True, False),
        ("settled", "high", False, True),
        ("ask_first", "low", False, False),
        ("stopped", "high", True, True),
    ],
)
def test_a_path_that_an_owed_answer_could_raise_is_not_settled(
    status: str, least: str, owed: bool, expected: bool
) -> None:
    assert path_settled(advice(status, "low", least), owed) is expected


def test_thrust_is_settled_by_its_own_limits_alone() -> None:
    assert thrust_settled(advice("settled", "barred", "barred"))
    assert not thrust_settled(advice("settled", "barred", "open"))
