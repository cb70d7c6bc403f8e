from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from cds.cli import exits
from cds.cli.main import main
from cds.cli.vet import run
from tests.support.optional import ROOT
from tests.support.shipped import shipped_service

BASE = ROOT / "tests" / "rulebook" / "base"


def test_the_shipped_book_passes(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(ROOT / "rules", False) == exits.OK
    shown = capsys.readouterr().out
    assert "Edition sha256:" in shown
    assert f"{len(shipped_service().program.findings)} findings" in shown
    assert "Passed, with warnings." in shown or "Every check passed." in shown


def test_a_book_without_a_warning_passes_every_check(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(BASE, False) == exits.OK
    assert "Every check passed." in capsys.readouterr().out


def test_problems_are_shown_with_line_and_marker(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "x.yaml").write_text("language: 1\nrulez: []\n", encoding="utf-8")
    assert run(tmp_path, False) == exits.REFUSED
    shown = capsys.readouterr().out
    assert "x.yaml:2:1" in shown
    assert "rulez: []" in shown
    assert "^" in shown
    assert "refused" in shown


def test_problems_as_json(tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    (tmp_path / "x.yaml").write_text("language: 1\nrulez: []\n", encoding="utf-8")
    assert run(tmp_path, True) == exits.REFUSED
    found = json.loads(capsysbinary.readouterr().out)
    assert found["ok"] is False
    assert found["edition"] is None
    places = [(entry.get("file"), entry.get("line")) for entry in found["problems"]]
    assert ("x.yaml", 2) in places
    assert run(BASE, True) == exits.OK
    found = json.loads(capsysbinary.readouterr().out)
    assert found["ok"] is True
    assert found["edition"].startswith("sha256:")


def test_a_folder_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path / "none", False) == exits.UNREADABLE
    assert "no such folder" in capsys.readouterr().err


def test_a_report_is_written_and_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = tmp_path / "book.html"
    assert main(["vet", "--rules", str(BASE), "--report", str(page)]) == exits.OK
    assert f"Report written to {page}" in capsys.readouterr().out
    first = page.read_bytes()
    assert first.startswith(b"<!doctype html>\n")
    assert first.endswith(b"</html>\n")
    assert b"\r" not in first
    assert run(BASE, True, page) == exits.OK
    assert json.loads(capsys.readouterr().out)["ok"] is True
    assert page.read_bytes() == first


@pytest.mark.parametrize("as_json", [False, True])
def test_a_book_with_errors_gets_no_report(
    as_json: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "rules"
    shutil.copytree(BASE, folder)
    (folder / "wrong.yaml").write_text("language: 1\nrulez: []\n", encoding="utf-8")
    page = tmp_path / "book.html"
    assert run(folder, as_json, page) == exits.REFUSED
    assert not page.exists()
    assert "Report" not in capsys.readouterr().out


def test_a_report_that_cannot_be_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "none" / "book.html"
    assert run(BASE, False, page) == exits.UNREADABLE
    assert "cannot be written" in capsys.readouterr().err


def test_a_report_and_a_count_are_asked_for_one_at_a_time(tmp_path: Path) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["vet", "--report", str(tmp_path / "x.html"), "--burden"])
    assert stopped.value.code == exits.USAGE
