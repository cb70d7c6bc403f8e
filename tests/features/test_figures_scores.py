"""Scores of one case: bands, cut-offs and change, from finished scores or section numbers."""

from __future__ import annotations

from fractions import Fraction

import pytest

from cds.features.figures import Figure
from cds.features.figures_scores import (
    disability,
    fear_avoidance,
    half_up_fraction,
    loose_joints,
    pain,
    risk_questionnaire,
    roland_morris,
)
from cds.features.outcome import sections
from tests.features.cases import a_record, a_session
from tests.features.test_figures import values
from tests.features.test_outcome import scored


def number(figure: Figure | None, name: str) -> object:
    assert figure is not None
    return next(number.value for number in figure.numbers if number.name == name)


def test_a_finished_index_has_its_band_and_its_change() -> None:
    found = disability(scored("disability_index", (44, 30), (30, 0)), values(disability_index=30))
    assert number(found, "percent") == 30
    assert number(found, "points_better") == 14
    assert number(found, "percent_better") == Fraction("31.8")
    assert number(found, "against_the_first") == "better by points and 30 %"
    assert found is not None and found.meaning == "moderate limitation"


def test_sections_give_the_index() -> None:
    """16 of 45 is 35.6 % (Fairbank and Pynsent 2000, second hand; printed 35.5, cut off)."""
    nine = dict(zip(sections(), (2, 2, 2, 2, 2, 2, 2, 1, 1), strict=False))
    found = disability(a_record(), values(**nine))
    assert number(found, "percent") == Fraction(1600, 45)
    assert number(found, "sections") == (9, 9)
    assert found is not None and "1 of ten sections" in found.weaknesses[0]


def test_too_few_sections_give_nothing() -> None:
    seven = dict.fromkeys(sections()[:7], 2)
    assert disability(a_record(), values(**seven)) is None
    assert disability(a_record(), values(**seven, disability_section_8=2)) is not None
    assert disability(a_record(), {}) is None


def test_roland_morris_with_and_without_an_earlier_score() -> None:
    alone = roland_morris(a_record(), values(roland_morris=8))
    assert alone is not None and [n.name for n in alone.numbers] == ["score"]
    record = scored("roland_morris", (8, 30), (13, 0))
    assert number(roland_morris(record, values(roland_morris=13)), "against_the_first") == "worse"
    assert roland_morris(a_record(), {}) is None


def test_pain_against_the_first_session() -> None:
    record = a_record(
        {"pain": 5}, course=(a_session(9, pain_before=6), a_session(3, pain_before=9))
    )
    found = pain(record, {})
    assert number(found, "points_better") == 1
    assert number(found, "against_the_first") == "less than matters"
    assert pain(a_record({"pain": 5}), {}) is None
    assert pain(a_record(course=(a_session(9, pain_before=6),)), {}) is None


@pytest.mark.parametrize(
    ("work", "said"),
    [(18, "less than 19"), (19, ""), (22, ""), (23, "more than 22"), (30, "more than 29")],
)
def test_fear_avoidance_cut_offs(work: int, said: str) -> None:
    found = fear_avoidance(a_record(), values(fear_avoidance_work=work))
    assert found is not None and said in found.meaning
    assert bool(found.meaning) is bool(said)


def test_fear_avoidance_of_activity_alone() -> None:
    found = fear_avoidance(a_record(), values(fear_avoidance_activity=15))
    assert found is not None and found.meaning == "activity more than 14: raised"
    assert fear_avoidance(a_record(), {}) is None


@pytest.mark.parametrize(
    ("total", "mind", "band"),
    [(3, None, "low"), (3, 3, "low"), (4, 3, "medium"), (4, 4, "high"), (9, 5, "high")],
)
def test_risk_bands(total: int, mind: int | None, band: str) -> None:
    """Keele University (read): 3 or less low; psychological items 4 or more high; else medium."""
    given = {"risk_questionnaire_total": total} | ({} if mind is None else {"distress_score": mind})
    found = risk_questionnaire(a_record(), values(**given))
    assert found is not None and found.meaning == f"{band} risk of lasting limitation"


def test_risk_scores_that_leave_the_band_open_or_disagree() -> None:
    open_band = risk_questionnaire(a_record(), values(risk_questionnaire_total=5))
    assert open_band is not None and open_band.meaning == ""
    odd = risk_questionnaire(a_record(), values(risk_questionnaire_total=2, distress_score=4))
    assert odd is not None and odd.meaning == "the two scores do not fit each other"
    assert risk_questionnaire(a_record(), values(distress_score=4)) is None


@pytest.mark.parametrize(
    ("age", "score", "cut", "reached"),
    [
        (50, 5, "5", "reached"), (50, 4, "5", "not reached"), (51, 4, "4", "reached"),
        (51, 3, "4", "not reached"), (12, 5, "5 or 6", "not decided"), (12, 6, "5 or 6", "reached"),
    ],
)  # fmt: skip
def test_loose_joints_by_age(age: int, score: int, cut: str, reached: str) -> None:
    found = loose_joints(a_record(), values(beighton=score, age=age, loose_joint_answers=0))
    assert number(found, "cut_off") == cut
    assert found is not None and f"for this age {reached} by the score alone" in found.meaning


def test_one_below_counts_with_two_answers() -> None:
    for answers, word in ((1, "not reached"), (2, "reached")):
        given = values(beighton=4, age=40, loose_joint_answers=answers)
        found = loose_joints(a_record(), given)
        assert found is not None and found.meaning.endswith(f"{word} with the five questions")
    assert loose_joints(a_record(), {}) is None


def test_tenths_go_half_up() -> None:
    assert half_up_fraction(Fraction("31.25")) == Fraction("31.3")
