"""What counts as one change of a case, and how far it is."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.edge_steps import changes
from tests.support.fixtures import base, decider, laid_over

UNORDERED = None


def found(over: dict[str, Any], start: str = "second-visit", **under: Any) -> dict[str, int | None]:
    one = laid_over(base(start), under)
    listed = changes(decider().vocabulary, one, laid_over(one, over))
    return {change.where: change.steps for change in listed}


@pytest.mark.parametrize(
    ("over", "wanted"),
    [
        ({}, {}),
        ({"answers": {"pain": 8}}, {"answers.pain": 2}),
        ({"answers": {"guarding": "mild"}}, {"answers.guarding": 1}),
        ({"answers": {"guarding": "none"}}, {"answers.guarding": 2}),
        ({"answers": {"onset": "sudden"}}, {"answers.onset": UNORDERED}),
        ({"answers": {"bone_disease": "low_mass"}}, {"answers.bone_disease": UNORDERED}),
        ({"patient": {"age": 43}}, {"patient.age": 3}),
        ({"course": {"last": {"pain_after": 5}}}, {"course.1.pain_after": 1}),
        ({"course": {"last": {"adverse": "serious"}}}, {"course.1.adverse": 2}),
        ({"course": {"last": {"on": "2026-11-14"}}}, {"course.1.on": 2}),
        ({"course": {"last": {"worsened_at": "thrust"}}}, {"course.1.worsened_at": UNORDERED}),
        ({"course": []}, {"course": 1}),
        ({"segments": {"last": {"answers": {"provocation": "none"}}}},
         {"segments.1.answers.provocation": 2}),
        ({"segments": {"last": {"prominent": {"neutral": "right"}}}},
         {"segments.1.prominent.neutral": UNORDERED}),
        ({"patient": {"age": 41}, "answers": {"pain": 5}},
         {"patient.age": 1, "answers.pain": 1}),
    ],
)  # fmt: skip
def test_each_answer_and_field_is_one_change(
    over: dict[str, Any], wanted: dict[str, int | None]
) -> None:
    assert found(over) == wanted


def test_a_number_goes_in_its_declared_steps() -> None:
    steroid = {"steroid_use": "systemic", "steroid_dose": 7.5}
    assert found({"answers": {"steroid_dose": 6.5}}, answers=steroid) == {"answers.steroid_dose": 2}


def test_rungs_and_days_of_answers_have_an_order() -> None:
    given = [{"level": "L5", "rung": "mobilization_2", "side": "left"}]
    assert found({"course": {"last": {"given": given}}}) == {"course.1.given.1.rung": 2}
    day = {"value": "normal", "how": "examined", "observed": "2026-11-17"}
    assert found({"answers": {"power": day}}) == {"answers.power": 3}


def test_members_taken_away_are_counted_and_other_members_are_seen() -> None:
    assert found({"course": []}, start="fourth-visit") == {"course": 3}
    other = [{"on": "2026-11-18"}]
    assert len(found({"course": other}, start="fourth-visit")) == 2


def test_of_several_dated_answers_each_that_differs_is_a_change() -> None:
    def dated(first: int, today: int) -> dict[str, Any]:
        return {"disability_index": [{"value": first, "observed": "2026-11-02"}, {"value": today}]}

    assert found({"answers": dated(40, 31)}, answers=dated(40, 30)) == {
        "answers.disability_index": 1
    }
    one = laid_over(base("second-visit"), {"answers": dated(40, 30)})
    other = laid_over(one, {"answers": dated(41, 31)})
    assert len(changes(decider().vocabulary, one, other)) == 2
