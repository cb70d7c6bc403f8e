"""Where a level belongs, and what a consent covers."""

from __future__ import annotations

from cds.vocabulary.model import LEVELS, NAMELESS
from cds.vocabulary.regions import CONSENTED, region_of


def test_every_level_has_one_region_and_a_consent_that_covers_it() -> None:
    assert [region_of(level) for level in LEVELS] == ["thoracic"] * 3 + ["lumbar"] * 6
    for level in LEVELS:
        assert level in CONSENTED[region_of(level)]


def test_the_unnamed_level_is_of_the_low_back() -> None:
    assert region_of(NAMELESS) == "lumbar"


def test_thoracolumbar_is_the_junction_only() -> None:
    assert CONSENTED["thoracolumbar"] == ("T10", "T11", "T12", "L1", "L2")
