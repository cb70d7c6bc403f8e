"""Confidence in a label is low at best, and very low where signs clash; the reasons are named."""

from __future__ import annotations

import pytest

from cds.explain.confidence import RELIABILITY, confidence
from cds.vocabulary.values import NOT_APPLICABLE, Choice, Input

GOOD: dict[str, Input] = {
    "segment.pattern@L5": Choice(("flexed",)),
    "segment.palpation_conflict@L5": Choice(("no",)),
    "segment.motion_agrees@L5": Choice(("yes",)),
    "segment.bilateral@L5": Choice(("none",)),
}


def test_at_its_best_it_is_low_and_says_why() -> None:
    assert confidence(GOOD, "L5") == ("low", [RELIABILITY])
    assert "kappa 0.04 to 0.17" in RELIABILITY  # review of asymmetry assessment, read


@pytest.mark.parametrize(
    ("name", "word", "reason"),
    [
        ("palpation_conflict", "yes", "palpate again"),
        ("motion_agrees", "no", "active motion is free"),
        ("pattern", "indeterminate", "no clear label"),
        ("pattern", "flexed_and_extended", "two labels"),
    ],
)
def test_signs_that_clash_make_it_very_low(name: str, word: str, reason: str) -> None:
    level, reasons = confidence(GOOD | {f"segment.{name}@L5": Choice((word,))}, "L5")
    assert level == "very_low"
    assert len(reasons) == 2 and reason in reasons[1]


@pytest.mark.parametrize("name", ["motion_agrees", "bilateral"])
def test_what_is_not_known_is_said_and_lowers_nothing(name: str) -> None:
    values = {key: value for key, value in GOOD.items() if key != f"segment.{name}@L5"}
    level, reasons = confidence(values, "L5")
    assert (level, len(reasons)) == ("low", 2)


def test_a_label_that_is_not_known_is_of_very_low_confidence() -> None:
    for value in ({}, {"segment.pattern@L5": Choice(("flexed", "extended"))}):
        level, reasons = confidence(value, "L5")
        assert level == "very_low"
        assert any("not palpated" in r or "not every position" in r for r in reasons)


def test_agreement_that_does_not_apply_is_no_reason() -> None:
    values = GOOD | {"segment.motion_agrees@L5": NOT_APPLICABLE}
    assert confidence(values, "L5") == ("low", [RELIABILITY])
