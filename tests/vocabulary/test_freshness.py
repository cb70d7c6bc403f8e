"""How old an answer may be: each period and bound on its limit and just beside it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from cds.vocabulary.ageing import (
    stand,
)
from cds.vocabulary.model import (
    GoodFor,
)
from cds.vocabulary.reading import (
    read_case,
)
from cds.vocabulary.values import (
    Choice,
)
from tests.vocabulary.sample import (
    COURSE,
    DAYS_28,
    FINDINGS,
    THIS_SESSION,
    ago,
    no,
    number,
    one,
    presence,
    standing,
    vocabulary,
    why,
    yes,
)

LEG = presence("leg", good_for=GoodFor(days=7))


BRUISING = presence("it", good_for=DAYS_28, voided_by=("drug",))
DRUG = presence("drug")


# ---------------------------------------------------------------- periods
PERIODS = [
    (THIS_SESSION, ago(0), None),
    (THIS_SESSION, ago(1), "expired"),
    (DAYS_28, ago(27), None),
    (DAYS_28, ago(28), None),
    (DAYS_28, ago(29), "expired"),
    (GoodFor(months=24), "2024-11-21", None),
    (GoodFor(months=24), "2024-11-20", None),
    (GoodFor(months=24), "2024-11-19", "expired"),
    (GoodFor(episode=True), ago(35), None),
    (GoodFor(episode=True), ago(36), "expired"),
    (GoodFor(), "1990-01-01", None),
]


@pytest.mark.parametrize(("period", "observed", "wanted"), PERIODS)
def test_a_negative_is_good_for_its_period(
    period: GoodFor, observed: str, wanted: str | None
) -> None:
    found = one(presence("it", good_for=period), no(observed), course=COURSE)
    assert why(found) == wanted


@pytest.mark.parametrize(("period", "observed", "wanted"), PERIODS)
def test_a_positive_never_expires(period: GoodFor, observed: str, wanted: str | None) -> None:
    found = one(presence("it", good_for=period), yes(observed), course=COURSE)
    assert found.values["it"] == Choice(("yes",))


def test_an_episode_is_at_most_twelve_months() -> None:
    long = [{"on": "2025-01-01"}]
    for observed, wanted in (("2025-11-20", None), ("2025-11-19", "expired")):
        found = one(presence("it", good_for=GoodFor(episode=True)), no(observed), course=long)
        assert why(found) == wanted


@pytest.mark.parametrize("course", [{}, {"course": []}])
def test_without_an_earlier_session_the_episode_begins_today(course: dict[str, Any]) -> None:
    finding = presence("it", good_for=GoodFor(episode=True))
    assert why(one(finding, no(ago(0)), **course)) is None
    assert why(one(finding, no(ago(1)), **course)) == "expired"


def test_a_month_that_is_too_short_ends_on_its_last_day() -> None:
    vocab = vocabulary(presence("it", good_for=GoodFor(months=1)))
    for observed, as_of, wanted in (
        ("2026-01-31", "2026-02-28", None),
        ("2026-01-31", "2026-03-01", "expired"),
        ("2026-03-31", "2026-04-30", None),
        ("2026-03-31", "2026-05-01", "expired"),
        ("2026-04-30", "2026-05-30", None),
        ("2026-04-30", "2026-05-31", "expired"),
    ):
        data = {"as_of": as_of, "moment": "contact", "answers": {"it": no(observed)}}
        assert why(stand(vocab, read_case(vocab, data))) == wanted


def test_the_age_is_told_in_days() -> None:
    assert one(presence("it", good_for=DAYS_28), no(ago(9))).used["it"].age_days == 9


# ---------------------------------------------------------------- unchanged
def again(observed: str, asked: str = ago(0), times: int = 1, **more: Any) -> dict[str, Any]:
    return no(observed, asked=asked, how="confirmed_unchanged", confirmations=times, **more)


EACH = presence("it", good_for=THIS_SESSION)


@pytest.mark.parametrize(
    ("answer", "wanted"),
    [
        (again(ago(7)), None),
        (again(ago(7), times=3), None),
        (again(ago(7), times=4), "unchanged_too_often"),
        (again(ago(28)), None),
        (again(ago(29)), "unchanged_too_long"),
        (again(ago(7), asked=ago(1)), "expired"),
        (again(ago(0)), None),
    ],
)
def test_a_confirmation_renews_within_bounds(answer: Any, wanted: str | None) -> None:
    assert why(one(EACH, answer, course=COURSE)) == wanted


def test_the_bounds_are_parameters_of_the_book() -> None:
    vocab = vocabulary(EACH, unchanged_days=6, unchanged_confirmations=1, gap_days=5)
    course = [{"on": ago(days)} for days in (9, 5)]
    for answer, wanted in (
        (again(ago(6)), None),
        (again(ago(7)), "unchanged_too_long"),
        (again(ago(6), times=2), "unchanged_too_often"),
    ):
        assert why(standing(vocab, answers={"it": answer}, course=course)) == wanted


@pytest.mark.parametrize(
    ("sessions", "observed", "wanted"),
    [
        ((14,), ago(14), None),
        ((15,), ago(15), "unchanged_gap"),
        ((25, 10), ago(25), "unchanged_gap"),  # the gap lies between two sessions
        ((24, 10), ago(24), None),
        ((25, 10), ago(10), None),
        ((7,), ago(8), "unchanged_gap"),  # before the first session: another episode
        ((), ago(3), "unchanged_gap"),
    ],
)
def test_a_gap_or_a_new_episode_refuses_a_confirmation(
    sessions: tuple[int, ...], observed: str, wanted: str | None
) -> None:
    course = [{"on": ago(days)} for days in sessions]
    assert why(one(EACH, again(observed), course=course)) == wanted


def test_without_a_course_nothing_is_confirmed() -> None:
    assert why(one(EACH, again(ago(3)))) == "unchanged_gap"


def test_a_finding_may_refuse_to_be_confirmed() -> None:
    refusing = replace(EACH, unchanged=False)
    assert why(one(refusing, again(ago(7)), course=COURSE)) == "unchanged_refused"


@pytest.mark.parametrize(
    ("leg", "wanted"), [("no", None), ("yes", "unchanged_refused"), (None, "unchanged_refused")]
)
def test_a_finding_may_refuse_while_another_is_adverse_or_unknown(
    leg: str | None, wanted: str | None
) -> None:
    refusing = replace(EACH, unchanged_not_with=("leg",))
    given = {"leg": leg} if leg else {}
    found = one(refusing, again(ago(7)), LEG, answers=given, course=COURSE)
    assert why(found) == wanted


def test_what_is_refused_to_the_confirmation_is_left_to_the_age() -> None:
    old = replace(EACH, good_for=DAYS_28, unchanged=False)
    assert why(one(old, again(ago(7), times=9), course=COURSE)) is None


def test_an_event_voids_a_confirmation() -> None:
    found = one(
        replace(BRUISING, good_for=THIS_SESSION), again(ago(7)), DRUG,
        answers={"drug": yes(ago(2), how="record")}, course=COURSE,
    )  # fmt: skip
    assert why(found) == "voided"


def test_confirming_a_positive_changes_nothing() -> None:
    answer = {**again(ago(29), times=9), "value": "yes"}
    assert one(EACH, answer).values["it"] == Choice(("yes",))


# ---------------------------------------------------------------- the practice's own table
CLINIC = [
    # finding, good_for, negative of so many days ago, with leg symptoms, counts
    ("saddle", replace(DAYS_28, with_=(("leg", THIS_SESSION),)), 28, "no", True),
    ("saddle", replace(DAYS_28, with_=(("leg", THIS_SESSION),)), 29, "no", False),
    ("saddle", replace(DAYS_28, with_=(("leg", THIS_SESSION),)), 1, "yes", False),
    ("saddle", replace(DAYS_28, with_=(("leg", THIS_SESSION),)), 0, "yes", True),
    ("fall since", THIS_SESSION, 0, "no", True),
    ("fall since", THIS_SESSION, 1, "no", False),
    ("power", replace(DAYS_28, with_=(("leg", THIS_SESSION),)), 28, "no", True),
    ("power", replace(DAYS_28, with_=(("leg", THIS_SESSION),)), 7, "yes", False),
    ("gait", DAYS_28, 28, "yes", True),
    ("gait", DAYS_28, 29, "yes", False),
    ("weight", DAYS_28, 28, "no", True),
    ("cancer ever", GoodFor(episode=True), 35, "no", True),
    ("cancer ever", GoodFor(episode=True), 36, "no", False),
    ("pregnancy", DAYS_28, 29, "no", False),
    ("guarding", THIS_SESSION, 1, "no", False),
]


@pytest.mark.parametrize(("title", "period", "days", "leg", "counts"), CLINIC)
def test_the_table_of_ages(title: str, period: GoodFor, days: int, leg: str, counts: bool) -> None:
    finding = presence("it", good_for=period)
    found = one(finding, no(ago(days)), LEG, answers={"leg": leg}, course=COURSE)
    assert ("it" in found.values) == counts
    positive = one(finding, yes(ago(days)), LEG, answers={"leg": leg}, course=COURSE)
    assert positive.values["it"] == Choice(("yes",))


def test_bone_density_of_twenty_four_months() -> None:
    finding = number("it", FINDINGS[14].kind, "-6", "6", good_for=GoodFor(months=24))
    for observed, wanted in (("2024-11-20", None), ("2024-11-19", "expired")):
        assert why(one(finding, {"value": -2, "observed": observed})) == wanted
