"""Scores over invented answers: arithmetic, missing parts, bands, errors."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.features.scores import (
    FEAR_ITEMS,
    INSTRUMENTS,
    beighton,
    bone_mass,
    change,
    fear_avoidance,
    oswestry,
    oswestry_band,
)
from cds.features.uncertain import Span
from cds.vocabulary.values import Tri

SECTION = st.integers(0, 5)


@given(st.lists(st.none() | SECTION, min_size=10, max_size=10), st.lists(SECTION, min_size=10))
def test_filling_what_is_missing_stays_within_what_was_said(
    sections: list[int | None], fill: list[int]
) -> None:
    if not any(value is not None for value in sections):
        return
    found = oswestry(sections)
    filled = [fill[at] if value is None else value for at, value in enumerate(sections)]
    low, high = found.possible
    assert 0 <= low <= oswestry(filled).percent <= high <= 100
    assert low <= found.percent <= high
    assert found.answered == sum(value is not None for value in sections)


def test_missing_sections_are_said() -> None:
    assert len(oswestry([1] * 10).weaknesses) == 1
    found = oswestry([1] * 7 + [None] * 3)
    assert found.percent == 20
    assert found.possible == (Fraction(14), Fraction(44))
    assert "3 of ten sections" in found.weaknesses[1]


@pytest.mark.parametrize(
    ("sections", "error"),
    [
        ([1] * 9, "ten sections"),
        ([None] * 10, "no section"),
        ([6] + [0] * 9, "0 to 5"),
        ([-1] + [0] * 9, "0 to 5"),
    ],
)
def test_impossible_sections_are_refused(sections: list[int | None], error: str) -> None:
    with pytest.raises(ValueError, match=error):
        oswestry(sections)


@pytest.mark.parametrize("value", [True, 1.0, "1"])
def test_an_item_is_a_whole_number(value: object) -> None:
    with pytest.raises(TypeError):
        oswestry([value, *[0] * 9])  # type: ignore[list-item]
    with pytest.raises(TypeError):
        fear_avoidance({2: value})  # type: ignore[dict-item]


@pytest.mark.parametrize("percent", [-1, Fraction(1001, 10)])
def test_no_band_outside_the_scale(percent: Fraction) -> None:
    with pytest.raises(ValueError, match="0 to 100"):
        oswestry_band(percent)


@given(st.fractions(0, 100), st.fractions(0, 100))
def test_bands_keep_the_order(one: Fraction, other: Fraction) -> None:
    order = ["minimal", "moderate", "severe", "very_severe", "extreme"]
    low, high = sorted((one, other))
    assert order.index(oswestry_band(low)) <= order.index(oswestry_band(high))


def test_subscales_share_no_item_and_the_rest_counts_nothing() -> None:
    assert not set(FEAR_ITEMS["physical"]) & set(FEAR_ITEMS["work"])
    scored = {*FEAR_ITEMS["physical"], *FEAR_ITEMS["work"]}
    rest = dict.fromkeys(set(range(1, 17)) - scored, 6)
    found = fear_avoidance(rest | dict.fromkeys(scored, 0))
    assert (found.physical, found.work) == ((0, 0), (0, 0))


def test_a_missing_item_leaves_a_span_and_open_cut_offs() -> None:
    found = fear_avoidance({2: 6, 3: 5, 4: None})
    assert found.physical == (11, 23)
    assert found.work == (0, 42)
    assert {truth for _, truth in found.cut_offs} == {Tri.UNKNOWN}
    assert "Some items are missing: a subscale is a range." in found.weaknesses


@pytest.mark.parametrize("items", [{0: 1}, {17: 1}, {2: 7}, {2: -1}])
def test_impossible_items_are_refused(items: dict[int, int | None]) -> None:
    with pytest.raises(ValueError, match=r"1 to 16|0 to 6"):
        fear_avoidance(items)


def plain_beighton(score: int, age: int, before: bool, yes: int) -> tuple[int, bool, bool]:
    cut = 4 if age > 50 else (6 if before else 5)
    return cut, score >= cut, score >= cut or (score == cut - 1 and yes >= 2)


SPANS = {
    "score": [(at, at) for at in range(10)] + [(3, 4), (4, 5), (5, 6), (0, 9), (4, 6)],
    "age": [(9, 9), (30, 30), (50, 50), (51, 51), (50, 51)],
    "yes": [(0, 1), (1, 1), (2, 2), (2, 5), (0, 5)],
}


@pytest.mark.parametrize("before", list(Tri))
def test_beighton_is_certain_exactly_where_every_possibility_agrees(before: Tri) -> None:
    for score, age, yes in product(SPANS["score"], SPANS["age"], SPANS["yes"]):
        if age[0] > 50 and before is Tri.TRUE:
            continue
        found = beighton(score, age, before, yes)
        worlds = [
            plain_beighton(a, b, c, d)
            for a, b, c, d in product(every(score), every(age), puberty(before), every(yes))
            if not (c and b > 50)
        ]
        assert found.cut_offs == tuple(sorted({world[0] for world in worlds}))
        assert found.reached is agreed({world[1] for world in worlds})
        assert found.general is agreed({world[2] for world in worlds})


def every(span: Span) -> range:
    return range(span[0], span[1] + 1)


def puberty(before: Tri) -> list[bool]:
    return {Tri.TRUE: [True], Tri.FALSE: [False], Tri.UNKNOWN: [True, False]}[before]


def agreed(values: set[bool]) -> Tri:
    return Tri.UNKNOWN if len(values) > 1 else (Tri.TRUE if values.pop() else Tri.FALSE)


def test_impossible_spans_are_refused() -> None:
    for score, age, yes in (
        ((0, 10), (30, 30), (0, 5)),
        ((5, 4), (30, 30), (0, 5)),
        ((5, 5), (-1, 30), (0, 5)),
        ((5, 5), (30, 30), (0, 6)),
    ):
        with pytest.raises(ValueError, match="span"):
            beighton(score, age, Tri.FALSE, yes)
    with pytest.raises(ValueError, match="before puberty"):
        beighton((5, 5), (51, 51), Tri.TRUE)


def test_bone_mass_refuses_floats() -> None:
    with pytest.raises(TypeError):
        bone_mass(-2.5, Tri.FALSE)  # type: ignore[arg-type]


def test_a_start_of_zero_has_no_share() -> None:
    found = change(INSTRUMENTS["pain"], 0, 3)
    assert found.points == -3 and found.share is None and found.worse_by_points
    assert not found.better_by_points and not found.better_by_share
    assert any("too low" in line for line in found.weaknesses)


def test_points_and_share_may_disagree_and_it_is_said() -> None:
    low, high = change(INSTRUMENTS["pain"], 2, 1), change(INSTRUMENTS["pain"], 9, 7)
    assert (low.better_by_points, low.better_by_share) == (False, True)
    assert (high.better_by_points, high.better_by_share) == (True, False)
    for found in (low, high):
        assert "Points and share of the start disagree." in found.weaknesses


@pytest.mark.parametrize(("before", "after"), [(11, 0), (5, -1), (Decimal("10.1"), 3)])
def test_a_change_stays_on_its_scale(before: Decimal, after: int) -> None:
    with pytest.raises(ValueError, match="pain runs from 0 to 10"):
        change(INSTRUMENTS["pain"], before, after)


@given(st.integers(0, 24), st.integers(0, 24))
def test_better_and_worse_exclude_each_other(before: int, after: int) -> None:
    found = change(INSTRUMENTS["roland_morris"], before, after)
    assert not (found.better_by_points and found.worse_by_points)
    assert (
        found.worse_by_points
        == change(INSTRUMENTS["roland_morris"], after, before).better_by_points
    )
