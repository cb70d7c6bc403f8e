"""How the last session went."""

from __future__ import annotations

from itertools import product

import pytest

from cds.features.last import last_features, masked, trend
from cds.vocabulary.case import Session
from cds.vocabulary.computed import GUARDING
from cds.vocabulary.values import Tri
from tests.features.cases import a_record, a_session, plain


def found(
    name: str,
    *course: Session,
    clinician: str | None = "t-1",
    parameters: dict[str, int] | None = None,
    **standing: str | int,
) -> object:
    record = a_record(standing, parameters, course=course, clinician=clinician)
    return plain(last_features(record, course).get(name))


@pytest.mark.parametrize(("before", "after"), list(product(GUARDING, GUARDING)))
def test_trend(before: str, after: str) -> None:
    steps = GUARDING.index(after) - GUARDING.index(before)
    assert trend(before, after) == {True: "worse", False: "eased"}.get(
        steps > 0 if steps else None, "same"
    )


def test_the_highest_rung() -> None:
    assert found("last_rung", a_session(2, "muscle_energy", "mobilization_2")) == "mobilization_2"
    assert found("last_rung", a_session(2)) == "unknown"


@pytest.mark.parametrize(
    ("before", "after", "trend_within"),
    [
        ("marked", "mild", "eased"),
        ("mild", "mild", "same"),
        ("none", "mild", "worse"),
        ("none", None, {"same", "worse"}),
        (None, "marked", {"same", "worse"}),
        ("marked", None, {"eased", "same"}),
        ("mild", None, "unknown"),
        (None, None, "unknown"),
    ],
)
def test_guarding_within(before: str | None, after: str | None, trend_within: object) -> None:
    session = a_session(guarding_before=before, guarding_after=after)
    assert found("guarding_within_last", session) == trend_within


@pytest.mark.parametrize(
    ("after", "today", "same_rater", "other_rater"),
    [
        ("mild", "mild", "same", "unknown"),
        ("mild", "moderate", "worse", "unknown"),
        ("moderate", "mild", "eased", "unknown"),
        ("mild", "marked", "worse", "worse"),
        ("marked", "none", "eased", "eased"),
        ("marked", "mild", "eased", "eased"),
    ],
)
def test_guarding_between_sessions(
    after: str, today: str, same_rater: str, other_rater: str
) -> None:
    name = "guarding_between"
    for therapist, clinician, expected in (
        ("t-1", "t-1", same_rater),
        ("t-2", "t-1", other_rater),
        (None, "t-1", other_rater),
        ("t-1", None, other_rater),
        (None, None, other_rater),
    ):
        last = a_session(guarding_after=after, therapist=therapist)
        assert found(name, last, clinician=clinician, guarding=today) == expected


def test_guarding_between_is_unknown_without_either_end() -> None:
    assert found("guarding_between", a_session(therapist="t-1"), guarding="mild") == "unknown"
    last = a_session(therapist="t-1", guarding_after="none")
    assert found("guarding_between", last) == {"same", "worse"}


def test_pain_within() -> None:
    assert found("pain_within_last", a_session(pain_before=5, pain_after=3)) == -2
    assert found("pain_within_last", a_session(pain_after=3)) == (-7, 3)
    assert found("pain_within_last", a_session()) == "unknown"


@pytest.mark.parametrize(
    ("word", "hours", "settled"),
    [
        ("within_24h", 48, "yes"),
        ("within_48h", 48, "yes"),
        ("within_48h", 24, "no"),
        ("within_24h", 24, "yes"),
        ("longer", 48, "no"),
        ("not_settled", 48, "no"),
        (None, 48, "unknown"),
    ],
)
def test_settled(word: str | None, hours: int, settled: str) -> None:
    session = a_session(settled=word)
    assert found("settled_48h", session, parameters={"settle_hours": hours}) == settled


GOOD = {
    "adverse": "none", "spread": "none", "settled": "within_24h", "pain_before": 5, "pain_after": 5,
}  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "today", "tolerated"),
    [
        ({}, None, "yes"),
        ({"adverse": "minor"}, None, "no"),
        ({"adverse": None}, None, "unknown"),
        ({"spread": "distal"}, None, "no"),
        ({"spread": "proximal"}, None, "yes"),
        ({"settled": "longer"}, 5, "yes"),
        ({"settled": "longer"}, None, "unknown"),
        ({"settled": "longer"}, 6, "yes"),
        ({"settled": "longer"}, 7, "no"),
        ({"settled": "longer", "pain_after": 7}, 5, "no"),
        ({"settled": "longer", "pain_after": 6}, 5, "yes"),
        ({"settled": None}, 5, "yes"),
        ({"settled": None}, 7, "unknown"),
        ({"adverse": "serious", "spread": None}, None, "no"),
    ],
)
def test_tolerated(changed: dict[str, object], today: int | None, tolerated: str) -> None:
    standing = {} if today is None else {"pain": today}
    assert found("last_tolerated", a_session(**(GOOD | changed)), **standing) == tolerated


CALM = {"guarding_before": "mild", "guarding_after": "mild"}
WORSE = {"guarding_before": "none", "guarding_after": "mild"}


@pytest.mark.parametrize(
    ("first", "last", "trend_words", "stepped", "ceiling"),
    [
        ("mobilization_2", "mobilization_2", CALM, "no", "n/a"),
        ("mobilization_2", "mobilization_3", CALM, "no", "n/a"),
        ("mobilization_3", "mobilization_2", CALM, "yes", "mobilization_2"),
        ("mobilization_2", "mobilization_4", WORSE, "yes", "mobilization_3"),
        ("mobilization_4", "muscle_energy", WORSE, "yes", "muscle_energy_low"),
        ("mobilization_2", "mobilization_2", {}, "unknown", "unknown"),
        ("thrust", "mobilization_1", {}, "yes", {"muscle_energy", "mobilization_4"}),
        ("no_treatment", "no_treatment", WORSE, "yes", "no_treatment"),
    ],
)
def test_stepping_down(
    first: str, last: str, trend_words: dict[str, str], stepped: str, ceiling: object
) -> None:
    course = (a_session(9, first), a_session(2, last, **trend_words))
    assert found("stepped_down_last", *course) == stepped
    assert found("rung_ceiling_after_step_down", *course) == ceiling


def test_one_session_steps_down_only_by_guarding() -> None:
    assert found("stepped_down_last", a_session(2, "muscle_energy", **CALM)) == "no"
    assert found("stepped_down_last", a_session(2, "muscle_energy", **WORSE)) == "yes"


def test_an_unknown_earlier_rung_leaves_it_open() -> None:
    course = (a_session(9), a_session(2, "mobilization_2", **CALM))
    assert found("stepped_down_last", *course) == "unknown"
    top = (a_session(9), a_session(2, "thrust", **CALM))
    assert found("stepped_down_last", *top) == "no"


def test_where_the_last_session_worsened() -> None:
    assert found("worsened_at_last", a_session(worsened_at="mobilization_4")) == "mobilization_4"
    assert found("worsened_at_last", a_session(worsened_at="none")) == "n/a"
    assert found("worsened_at_last", a_session()) == "unknown"


def test_masked() -> None:
    assert masked(a_session(medicine_before="opioid")) is Tri.TRUE
    assert masked(a_session(medicine_before="other")) is Tri.FALSE
    assert masked(a_session()) is Tri.UNKNOWN
