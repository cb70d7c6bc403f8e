from __future__ import annotations

import json
from pathlib import Path

import pytest

from cds.cli import exits
from cds.cli.main import main
from tests.support.optional import ROOT
from tests.whatif.cases import data

RULES = ["--rules", str(ROOT / "rules")]


@pytest.fixture
def case_file(tmp_path: Path) -> Path:
    file = tmp_path / "case.json"
    file.write_text(json.dumps(data("screen-saddle-declined")), encoding="utf-8")
    return file


def test_questions_in_words(case_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["advise", str(case_file), "--questions", *RULES]) == exits.OK
    said = capsys.readouterr().out
    assert "Sensation of the saddle (owed)" in said
    assert "  if altered: refer to Emergency department, emergency" in said
    assert "  Sensation of the saddle: normal" in said
    assert "Whatever the open questions are answered" in said


def test_the_session_table_in_words(case_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case_file.write_text(json.dumps(data("clinic-9-latch-in-session")), encoding="utf-8")
    assert main(["advise", str(case_file), "--session-table", *RULES]) == exits.OK
    said = capsys.readouterr().out
    assert "Guarding eases: Go on to Mobilization grade I" in said
    assert "Guarding is worse: Step down to Muscle energy technique at low force" in said


def test_json_and_refusals(case_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["advise", str(case_file), "--session-table", "--json", *RULES]) == exits.OK
    assert set(json.loads(capsys.readouterr().out)) == {"table", "offer", "edition"}
    case_file.write_text('{"as_of": "2026-11-31"}', encoding="utf-8")
    assert main(["advise", str(case_file), "--questions", *RULES]) == exits.REFUSED
    assert "nothing was assessed" in capsys.readouterr().err
    assert main(["advise", "no-such-file.json", "--questions", *RULES]) == exits.UNREADABLE


def test_one_of_the_two(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["advise", "x.json", "--questions", "--session-table"])
    assert caught.value.code == exits.USAGE
    capsys.readouterr()
