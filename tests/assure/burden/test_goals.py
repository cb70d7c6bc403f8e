"""The goals the figures are held against, and when one is met."""

from __future__ import annotations

import pytest

from cds.assure.burden.dialogue import Count
from cds.assure.burden.goals import Goal, goals, middle
from cds.assure.burden.measure import measure
from tests.assure.burden.support import population, shipped


@pytest.mark.parametrize(("value", "met"), [(23.5, True), (24.0, True), (24.5, False)])
def test_a_goal_is_met_up_to_and_with_its_limit(value: float, met: bool) -> None:
    assert Goal("answers", 24, value).met is met


def test_the_middle_of_no_visits_is_none_asked() -> None:
    assert middle([]) == 0.0
    assert middle([Count(3, 9), Count(5, 9), Count(10, 9)]) == 5.0
    assert middle([Count(3, 9), Count(4, 9)]) == 3.5


def test_every_goal_of_the_clinic_has_its_figure_and_share_its_counts() -> None:
    found = goals(measure(shipped(), population()))
    assert len(found) == 12
    assert len({goal.title for goal in found}) == 12
    for goal in found:
        if goal.count is not None:
            assert goal.of is not None and goal.of >= goal.count >= 0
            assert goal.value == (goal.count / goal.of if goal.of else 0.0)
