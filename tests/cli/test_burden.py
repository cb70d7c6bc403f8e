from __future__ import annotations

from pathlib import Path

import pytest

from cds.assure.burden.population_reading import default_population
from cds.cli import exits
from cds.cli.burden import run
from cds.cli.main import main
from tests.support.optional import ROOT

BASE = ROOT / "tests" / "rulebook" / "base"


@pytest.fixture
def small(tmp_path: Path) -> Path:
    text = default_population().read_text(encoding="utf-8")
    for line in ("first_visits: 2000", "follow_ups: 2000", "dialogues: 120"):
        assert line in text
        text = text.replace(line, line.split(":")[0] + ": 2")
    path = tmp_path / "small.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_book_is_counted_through_the_verb(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["vet", "--burden", str(small), "--rules", str(BASE)]) == exits.OK
    shown = capsys.readouterr().out
    assert "## Goals" in shown
    assert "sha256:" in shown


def test_a_smaller_draw_when_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["vet", "--burden", "--visits", "3", "--rules", str(BASE)]) == exits.OK
    assert "| first visits, follow-ups | 3 and 3 |" in capsys.readouterr().out


def test_a_population_with_a_mistake_is_refused_with_its_line(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = small.read_text(encoding="utf-8").replace("gain: 0.7", "gain: 7")
    small.write_text(text, encoding="utf-8")
    assert run(BASE, small) == exits.REFUSED
    assert "small.yaml:" in capsys.readouterr().err


def test_a_refused_book_is_not_counted(
    tmp_path: Path, small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "x.yaml").write_text("language: 1\nrulez: []\n", encoding="utf-8")
    assert run(rules, small) == exits.REFUSED
    assert "featheredge vet" in capsys.readouterr().err


def test_files_that_are_not_there(tmp_path: Path, small: Path) -> None:
    assert run(tmp_path / "none", small) == exits.UNREADABLE
    assert run(BASE, tmp_path / "none.yaml") == exits.UNREADABLE
