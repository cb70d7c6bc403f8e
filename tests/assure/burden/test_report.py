from __future__ import annotations

from pathlib import Path

import pytest

from cds.assure.burden.__main__ import main
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
    whole = population(2000, 60)
    assert f"| seed | {whole.seed} |" in kept
    assert f"| first visits, follow-ups | {whole.first} and {whole.follow_up} |" in kept
    assert "sha256:" in kept


def test_the_script_refuses_a_wrong_call(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    assert "cds.assure.burden" in capsys.readouterr().err


def test_the_script_writes_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cds.assure.burden.__main__.read_population", lambda path: population(3, 1))
    target = tmp_path / "burden.md"
    assert main([str(target), str(ROOT / "tests" / "rulebook" / "base")]) == 0
    assert "## Goals" in target.read_text(encoding="utf-8")


def test_the_script_names_the_problems_of_a_refused_book(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "x.yaml").write_text("language: 1\nrulez: []\n", encoding="utf-8")
    assert main([str(tmp_path / "out.md"), str(tmp_path)]) == 1
    assert "x.yaml:2:1" in capsys.readouterr().err
    assert not (tmp_path / "out.md").exists()
