"""Published figures as an advice shows them: rounded once, half up, each with its own prior.

Sources stand beside the figures; their status is in the table of this folder.
"""

from __future__ import annotations

from typing import Any

import pytest

from cds.vocabulary.reading import read_case
from tests.support.fixtures import base, decider, laid_over
from tests.support.shipped import shipped_text

FIVE: dict[str, Any] = {"duration_days": 15, "fear_avoidance_work": 18, "hip_internal_rotation": 36}


def shown(key: str, patient: dict[str, Any] | None = None, **answers: Any) -> dict[str, str]:
    """The values of one entry of information for the first visit with these answers."""
    shipped = decider()
    over: dict[str, Any] = {"answers": answers}
    if patient:
        over["patient"] = patient
    advice = shipped.decide(read_case(shipped.vocabulary, laid_over(base("first-visit"), over)))
    return next(e["values"] for e in advice["information"] if e["id"] == f"information-{key}")


def test_flynn_four_or_more() -> None:
    """Flynn 2002: 45 % to 95 % by 24.38; from 32 of 71 exactly, 95.2 %."""
    found = shown("flynn", **{**FIVE, "duration_days": 16})
    assert found["items"] == "4"
    assert (found["likelihood_ratio"], found["probability_percent"]) == ("24.38", "95.2")


def test_fritz_both_items() -> None:
    """Fritz 2005: 7.2 (3.2 to 16.1)."""
    found = shown("fritz", **FIVE)
    assert (found["likelihood_ratio"], found["likelihood_ratio_interval"]) == ("7.2", "3.2 to 16.1")


@pytest.mark.parametrize(
    ("patient", "answers", "henschke", "downie"),
    [
        ({"age": 71, "sex": "female"}, {}, "7.2", None),
        ({"age": 71, "sex": "female"}, {"steroid_use": "systemic"}, "52.3", "90.1"),
    ],
)
def test_fracture_by_two_priors(
    patient: dict[str, Any], answers: dict[str, str], henschke: str, downie: str | None
) -> None:
    """Henschke 2009: 7 and 52 % from 0.5 %. Downie 2013: 90 % from 1 %. Never averaged."""
    one, other = shown("henschke", patient, **answers), shown("downie", patient, **answers)
    assert (one["prior_percent"], one["probability_percent"]) == ("0.5", henschke)
    assert other.get("probability_percent") == downie
    assert other.get("prior_percent") == (None if downie is None else "1.0")


def test_cancer_in_the_past() -> None:
    """Downie 2013: 15.3 gives 7 % in primary care."""
    assert shown("malignancy", cancer_history="past")["probability_percent"] == "7.1"


def test_change_of_the_index_beside_its_limits() -> None:
    """Ostelo 2008: 10 points or 30 % of the first value."""

    def judged(first: int, now: int) -> str:
        both = [
            {"value": first, "observed": "2026-10-30"},
            {"value": now, "observed": "2026-11-20"},
        ]
        return shown("disability", disability_index=both)["against_the_first"]

    assert judged(50, 40) == "better by points"
    assert judged(50, 41) == "less than matters"
    assert judged(20, 14) == "better by 30 %"
    assert judged(50, 60) == "worse"


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        # Carnes 2010, Man Ther 15:355
        ("consent-after-effects", ("41 % (17 to 68)", "22 % (11.1 to 36.2)")),
        # Carnes 2010 twice, Assendelft 1996, Oliphant 2004, Shekelle 1992, Nielsen 2017, Swait and
        # Finch 2017
        ("consent-serious-harm", (
            "0.13 %", "0.007 to 0.13 %", "fewer than 1 per 1 million", "less than 1 in 3.7 million",
            "about 1 in 100 million", "1 in 20 000 to 1 in 250 million",
            "1 per 2 million manipulations to 13 per 10 000 patients",
        )),
        # Cook 2013, Man Ther 18:191; Learman 2014; Cleland 2009, Spine 34:2720
        ("consent-alternative", ("149 patients completing", "71 who met", "112")),
    ],
)  # fmt: skip
def test_consent_carries_the_published_figures(text: str, figures: tuple[str, ...]) -> None:
    said = shipped_text(text)
    for figure in figures:
        assert figure in said
