"""Visits alone never raise the target: over every fixture with a course, and one that gained.

Floors of policy are lifted (`progress_by: response`), so that only the response is left.
"""

from __future__ import annotations

from copy import deepcopy
from datetime import date, timedelta
from typing import Any

import pytest

from cds.decide import Decider
from cds.vocabulary.advice import Advice
from cds.vocabulary.computed import RUNGS
from cds.vocabulary.reading import read_case
from tests.support.fixtures import Fixture, base, decider, folder

BY_RESPONSE = {"progress_by": "response"}
WITH_A_COURSE = [f for f in folder("cases") if f.case.get("course") and not f.policy]


def by_response() -> Decider:
    return decider(BY_RESPONSE)


def advice(case: dict[str, Any]) -> Advice:
    deciding = by_response()
    return deciding.decide(read_case(deciding.vocabulary, case))


def reach(found: Advice) -> tuple[int, int]:
    """The target and the most that can be reached today, as places on the ladder."""
    path = found["path"]
    return RUNGS.index(path["target"]), RUNGS.index(path["up_to"]["now"])


def with_earlier_visits(case: dict[str, Any], how_many: int) -> dict[str, Any]:
    """The same patient and last session, with earlier visits of exercise put before the course."""
    longer = deepcopy(case)
    first = longer["course"][0]
    start = date.fromisoformat(str(first["on"]))
    before = {**deepcopy(first), "given": [{"level": "L5", "rung": "exercise_only"}]}
    before = {**before, "pain_after": before.get("pain_before"), "comparable_sign": "same"}
    added = [
        {**deepcopy(before), "on": (start - timedelta(days=3 * n)).isoformat()}
        for n in range(how_many, 0, -1)
    ]
    longer["course"] = added + longer["course"]
    return longer


def with_an_idle_visit(case: dict[str, Any]) -> dict[str, Any]:
    """One more visit after the last, of the same rung, that brought nothing."""
    longer = deepcopy(case)
    last = longer["course"][-1]
    idle = {**deepcopy(last), "comparable_sign": "same"}
    idle["pain_before"] = idle["pain_after"] = last.get("pain_after")
    idle["guarding_before"] = idle["guarding_after"] = last.get("guarding_after")
    idle["on"] = (date.fromisoformat(str(last["on"])) + timedelta(days=1)).isoformat()
    longer["course"].append(idle)
    return longer


@pytest.mark.parametrize("fixture", WITH_A_COURSE, ids=lambda fixture: fixture.name)
def test_more_visits_alone_never_raise(fixture: Fixture) -> None:
    target, up_to = reach(advice(fixture.case))
    for how_many in (1, 4):
        longer = reach(advice(with_earlier_visits(fixture.case, how_many)))
        assert longer[0] <= target and longer[1] <= up_to


@pytest.mark.parametrize("fixture", WITH_A_COURSE, ids=lambda fixture: fixture.name)
def test_a_visit_that_brought_nothing_opens_no_new_rung(fixture: Fixture) -> None:
    last = date.fromisoformat(str(fixture.case["course"][-1]["on"]))
    if last + timedelta(days=1) > date.fromisoformat(str(fixture.case["as_of"])):
        pytest.skip("the last session was today")
    given = [RUNGS.index(step["rung"]) for step in fixture.case["course"][-1].get("given") or []]
    # what was reached and borne may be kept, and the gentle rungs are always in question
    kept = max([*given, RUNGS.index("mobilization_2"), reach(advice(fixture.case))[0]])
    assert reach(advice(with_an_idle_visit(fixture.case)))[0] <= kept


def test_the_response_does_raise() -> None:
    """The laws above are not empty: by the same last session, gain or none decides."""
    case = base("third-visit")
    idle = deepcopy(case)
    idle["course"][-1]["comparable_sign"] = "same"
    assert reach(advice(case))[0] > reach(advice(idle))[0]
