"""The session in progress, and its latch."""

from __future__ import annotations

import pytest

from cds.features.today import today_features, worse_at
from cds.vocabulary.case import Step
from cds.vocabulary.computed import FEATURES
from cds.vocabulary.values import Tri
from tests.features.cases import a_record, plain

CALM = {"spread": "none", "new_sign": "no"}


def step(rung: str = "mobilization_2", guarding: str | None = "mild", **changed: object) -> Step:
    return Step(rung, "L5", guarding, **(CALM | changed))  # type: ignore[arg-type]


def found(*steps: Step, moment: str = "during_session", **standing: str | int) -> dict[str, object]:
    values = today_features(a_record(standing, moment=moment, steps=steps))
    names = [name for name, feature in FEATURES.items() if feature.today]
    return {name.removeprefix("today."): plain(values.get(name)) for name in names}


@pytest.mark.parametrize("moment", ["before_session", "contact"])
def test_nothing_applies_outside_a_session(moment: str) -> None:
    assert set(found(step(), moment=moment).values()) == {"n/a"}


@pytest.mark.parametrize("moment", ["during_session", "after_session"])
def test_before_the_first_step(moment: str) -> None:
    assert found(moment=moment, guarding="mild") == {
        "steps": 0, "last_rung": "n/a", "guarding_trend": "n/a", "worsened": "no",
        "worsened_at": "n/a", "spread": "none", "new_sign": "no", "set_up_problem": "none",
        "pain_change": "n/a",
    }  # fmt: skip


def test_steps_not_sent_are_unknown() -> None:
    values = today_features(a_record(moment="during_session"))
    assert {name: plain(value) for name, value in values.items()} == {"today.steps": (0, None)}


def test_invented_session_that_bounces() -> None:
    """Moderate at grade II, mild at III, marked at IV, then muscle energy brings it to mild."""
    done = found(
        step("mobilization_2", "moderate"), step("mobilization_3", "mild"),
        step("mobilization_4", "marked"), step("muscle_energy", "mild"), guarding="moderate",
    )  # fmt: skip
    assert done["steps"] == 4
    assert done["last_rung"] == "muscle_energy"
    assert done["guarding_trend"] == "eased"
    assert done["worsened"] == "yes"
    assert done["worsened_at"] == "mobilization_4"


def test_worse_is_measured_from_the_lowest_since() -> None:
    steps = (step(guarding="none"), step("mobilization_3", "mild"))
    done = found(*steps, guarding="marked")
    assert done["worsened"] == "yes"
    assert done["worsened_at"] == "mobilization_3"


def test_the_first_value_of_the_day_counts() -> None:
    assert found(step(guarding="moderate"), guarding="mild")["worsened"] == "yes"
    assert found(step(guarding="mild"), guarding="mild")["worsened"] == "no"
    assert found(step(guarding="mild"))["worsened"] == "unknown"
    assert found(step(guarding="none"))["worsened"] == "no"


@pytest.mark.parametrize(
    ("changed", "worsened"),
    [
        ({"spread": "distal"}, "yes"),
        ({"spread": "proximal"}, "no"),
        ({"spread": None}, "unknown"),
        ({"new_sign": "yes"}, "yes"),
        ({"new_sign": None}, "unknown"),
        ({"set_up": "pain"}, "no"),
    ],
)
def test_other_ways_of_getting_worse(changed: dict[str, object], worsened: str) -> None:
    assert found(step(**changed), guarding="mild")["worsened"] == worsened


def test_the_lowest_rung_at_which_it_worsened() -> None:
    steps = (step("mobilization_4", "marked"), step("mobilization_1", "marked", spread="distal"))
    assert found(*steps, guarding="mild")["worsened_at"] == "mobilization_1"


def test_a_lower_rung_that_may_have_worsened_is_an_option() -> None:
    steps = (step("mobilization_1", "mild", spread=None), step("mobilization_4", "marked"))
    assert found(*steps, guarding="mild")["worsened_at"] == {"mobilization_1", "mobilization_4"}
    steps = (step("thrust", "mild", spread=None), step("mobilization_4", "marked"))
    assert found(*steps, guarding="mild")["worsened_at"] == "mobilization_4"


def test_nowhere_certain_but_possible_is_unknown() -> None:
    assert found(step(guarding=None), guarding="mild")["worsened_at"] == "unknown"
    assert found(step(), guarding="mild")["worsened_at"] == "n/a"


def test_an_unknown_step_does_not_hide_a_known_rise() -> None:
    steps = (step(guarding=None), step("mobilization_3", "moderate"))
    record = a_record({"guarding": "mild"}, steps=steps)
    assert worse_at(record, steps) == (Tri.UNKNOWN, Tri.TRUE)


def test_an_unknown_step_may_have_been_lower() -> None:
    steps = (step(guarding=None), step(guarding="mild"))
    assert worse_at(a_record({"guarding": "mild"}), steps) == (Tri.UNKNOWN, Tri.UNKNOWN)
    steps = (step(guarding=None), step(guarding="none"))
    assert worse_at(a_record({"guarding": "mild"}), steps)[1] is Tri.FALSE


@pytest.mark.parametrize(
    ("before", "after", "trend"),
    [
        ("moderate", "mild", "eased"),
        ("mild", "mild", "same"),
        ("none", "marked", "worse"),
        (None, "none", {"eased", "same"}),
        ("mild", None, "unknown"),
    ],
)
def test_trend_of_the_last_step(before: str | None, after: str | None, trend: object) -> None:
    assert found(step(guarding=before), step(guarding=after))["guarding_trend"] == trend
    standing = {"guarding": before} if before else {}
    assert found(step(guarding=after), **standing)["guarding_trend"] == trend


def test_the_worst_spread() -> None:
    steps = (step(spread="distal"), step(spread="none"), step(spread=None))
    assert found(*steps)["spread"] == "distal"
    assert found(step(spread="proximal"), step(spread=None))["spread"] == {"proximal", "distal"}
    assert found(step(spread=None))["spread"] == "unknown"


def test_a_new_sign_stays() -> None:
    assert found(step(new_sign="yes"), step())["new_sign"] == "yes"
    assert found(step(new_sign=None), step())["new_sign"] == "unknown"
    assert found(step(new_sign=None), step(new_sign="yes"))["new_sign"] == "yes"


def test_the_set_up_of_a_thrust() -> None:
    assert found(step("thrust", set_up="easy"))["set_up_problem"] == "none"
    assert found(step("thrust", set_up="resistance"))["set_up_problem"] == "resistance"
    assert found(step("thrust"))["set_up_problem"] == "unknown"
    assert found(step("mobilization_4"))["set_up_problem"] == "none"
    both = (step("thrust", set_up="pain"), step("thrust", set_up="resistance"))
    assert found(*both)["set_up_problem"] == "pain"


def test_pain_change() -> None:
    assert found(step(pain=4), step(pain=3), pain=5)["pain_change"] == -1
    # the highest of the session counts: easing later forgets nothing
    assert found(step(pain=6), step(pain=4), pain=5)["pain_change"] == 1
    assert found(step(pain=6), pain=3)["pain_change"] == 3
    assert found(step(pain=6), step(), pain=5)["pain_change"] == (1, 5)
    assert found(step())["pain_change"] == "unknown"
