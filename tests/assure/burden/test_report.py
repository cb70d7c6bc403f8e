from __future__ import annotations

import pytest

from cds.assure.burden.measure import Measured, measure
from cds.assure.burden.report import report, share
from tests.assure.burden.support import population, shipped
from tests.support.optional import ROOT


@pytest.fixture(scope="module")
def found() -> Measured:
    return measure(shipped(), population(20, 2))


def test_the_report_names_edition_seed_sizes_and_intervals(found: Measured) -> None:
    text = report(found)
    assert shipped().digest in text
    assert f"| seed | {found.seed} |" in text
    assert "| first visits, follow-ups | 20 and 20 |" in text
    assert " % (" in text
    assert text.endswith("\n")
    assert report(found) == text


def test_each_goal_says_met_or_not(found: Measured) -> None:
    table = report(found).split("## Goals")[1].split("## ")[0]
    rows = [line for line in table.splitlines() if "at most" in line]
    assert len(rows) == 12
    assert all(row.endswith(("| met |", "| **not met** |")) for row in rows)


def test_a_share_has_its_interval() -> None:
    assert share(5, 10) == "50.00 % (23.66 to 76.34)"
    assert share(0, 0) == "0.00 % (0.00 to 100.00)"


def test_the_kept_report_is_of_the_shipped_population() -> None:
    kept = (ROOT / "tests" / "bench" / "burden.md").read_text(encoding="utf-8")
    whole = population(2000, 120)
    assert f"| seed | {whole.seed} |" in kept
    assert f"| first visits, follow-ups | {whole.first} and {whole.follow_up} |" in kept
    assert "sha256:" in kept


def test_each_question_names_the_rules_that_owed_it(found: Measured) -> None:
    told = report(found).split("## What was asked, and which rules owed it")[1]
    row = next(line for line in told.splitlines() if line.startswith("| `saddle_sensation` |"))
    assert row.startswith("| `saddle_sensation` | 100 % |")
    assert "`cauda-equina-suspected`" in row
