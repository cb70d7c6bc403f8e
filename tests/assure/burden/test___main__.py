"""The script that writes the report of the burden."""

from __future__ import annotations

from pathlib import Path

import pytest

from cds.assure.burden.__main__ import main
from tests.assure.burden.support import population
from tests.support.optional import ROOT


def test_the_script_refuses_a_wrong_call(capsys: pytest.CaptureFixture[str]) -> None:
    for wrong in ([], ["x.md", "--visits", "0"], ["x.md", "--visits", "many"]):
        with pytest.raises(SystemExit) as ended:
            main(wrong)
        assert ended.value.code == 2
        assert "cds.assure.burden" in capsys.readouterr().err


def test_help_is_help_and_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    assert "--visits N" in capsys.readouterr().out
    assert not list(tmp_path.iterdir())


def test_a_smaller_draw_when_asked_for(tmp_path: Path) -> None:
    target = tmp_path / "burden.md"
    assert main([str(target), str(ROOT / "tests" / "rulebook" / "base"), "--visits", "2"]) == 0
    told = target.read_text(encoding="utf-8")
    assert "| first visits, follow-ups | 2 and 2 |" in told
    assert "| dialogues of each kind | 2 |" in told


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
