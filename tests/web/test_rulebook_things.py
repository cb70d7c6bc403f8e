from __future__ import annotations

from datetime import date

import pytest

from cds.assure.report.evidence import cited
from cds.web.rulebook import bare
from cds.web.rulebook_things import (
    PARTS,
    card_context,
    exercise_context,
    finding_context,
    rule_context,
    source_context,
)
from tests.web.books import shelf

TODAY = date(2026, 11, 20)


def test_a_rule_has_its_sentences_its_vouchers_and_its_fixtures() -> None:
    found = rule_context(shelf(), "bone-density-low", TODAY)
    assert "Lowest T-score is less than −1 T-score" in bare(found["said"])
    for part in ("Evidence", "Owner", "Spinal governance", "Approved", "Review by"):
        assert part in bare(found["vouched"])
    assert "Fed by" not in bare(found["vouched"])
    assert {entry.folder for entry in found["fixtures"]} >= {"edges", "cases"}
    assert found["installed"] and found["review"] == "later"
    assert found["trail"][-1] == ("Low bone mass", "")


def test_rules_follow_each_other() -> None:
    first, second, *_, last = [rule.id for rule in shelf().rules]
    assert rule_context(shelf(), first, TODAY)["previous"] is None
    assert rule_context(shelf(), first, TODAY)["next"]["href"] == f"/rulebook/rules/{second}"
    assert rule_context(shelf(), last, TODAY)["next"] is None


def test_a_finding_says_how_it_is_asked_and_who_reads_it() -> None:
    found = bare(finding_context(shelf(), "bladder_function")["rows"])
    for part in ("28 days", "Asked alone.", "Possible cauda equina syndrome", "Computed from it"):
        assert part in found


def test_a_computed_value_is_never_asked() -> None:
    found = finding_context(shelf(), "age")
    assert found["kind"] == "Computed, never asked" and "Computed from" in bare(found["rows"])


def test_cards_and_exercises_are_whole() -> None:
    card = bare(card_context(shelf(), "extended-thrust")["rows"])
    assert all(part in card for part in ("Set-up", "Stop when", "Chosen by", "Evidence"))
    name = next(iter(shelf().program.exercises))
    assert "Dose" in bare(exercise_context(shelf(), name)["rows"])


def test_a_source_names_everything_that_leans_on_it() -> None:
    for source in shelf().program.sources:
        rows = source_context(shelf(), source)["rows"]
        mine = [e for e in cited(shelf().program) if e.evidence.source == source]
        assert rows.count("<li>") == len(mine)
        assert ("nothing yet" in rows) == (not mine)


@pytest.mark.parametrize("part", PARTS)
def test_every_part_shows_something(part: str) -> None:
    title, about, show = PARTS[part]
    assert title and about.endswith(".") and show(shelf())
