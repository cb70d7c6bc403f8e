from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from cds.cli import exits
from tests.cli.test_main import featheredge
from tests.support.optional import ROOT
from tests.support.shipped import demo

EMPTY = json.dumps({"as_of": "2026-11-20", "moment": "before_session"})
STOPPED = json.dumps(
    {"as_of": "2026-11-20", "moment": "before_session", "answers": {"saddle_sensation": "altered"}}
)
FIRST = json.dumps(demo("first_visit")["case"])


def test_a_case_from_standard_input_is_shown_for_a_person() -> None:
    ran = featheredge("advise", "-", text=FIRST)
    assert ran.returncode == exits.OK, ran.stderr
    assert "Hands-on today" in ran.stdout
    assert "\nCHAIN" in ran.stdout
    assert "\x1b" not in ran.stdout
    assert ran.stderr == ""


def test_json_is_compact_unless_full_is_asked_for() -> None:
    short = json.loads(featheredge("advise", "-", "--json", text=FIRST).stdout)
    whole = json.loads(featheredge("advise", "-", "--json", "--full", text=FIRST).stdout)
    assert (short["detail"], whole["detail"]) == ("compact", "full")
    assert short["headline"] == whole["headline"]


@pytest.mark.parametrize(
    ("text", "code"), [(FIRST, exits.OK), (EMPTY, exits.ASK_FIRST), (STOPPED, exits.STOPPED)]
)
def test_the_status_is_an_exit_code_when_asked_for(text: str, code: int) -> None:
    assert featheredge("advise", "-", "--exit-status", text=text).returncode == code
    assert featheredge("advise", "-", text=text).returncode == exits.OK


def test_all_problems_are_printed_and_no_value() -> None:
    case = {
        "as_of": "2026-11-20",
        "moment": "before_session",
        "answers": {"pain": 4711, "guarding": "canary", "pian": 1},
    }
    ran = featheredge("advise", "-", text=json.dumps(case))
    assert ran.returncode == exits.REFUSED
    assert ran.stdout == ""
    for pointer in ("/answers/pain", "/answers/guarding", "/answers/pian"):
        assert pointer in ran.stderr
    assert "3 problem(s); no advice was given." in ran.stderr
    assert "canary" not in ran.stderr
    assert "4711" not in ran.stderr


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    ran = featheredge("advise", str(tmp_path / "none.yaml"))
    assert ran.returncode == exits.UNREADABLE
    assert "Traceback" not in ran.stderr


def test_a_rule_book_that_does_not_load(tmp_path: Path) -> None:
    (tmp_path / "x.yaml").write_text("language: 9\n", encoding="utf-8")
    ran = featheredge("advise", "-", "--rules", str(tmp_path), text=EMPTY)
    assert ran.returncode == exits.NO_RULES
    assert "vet" in ran.stderr


def test_another_rule_book_may_be_named() -> None:
    base = ROOT / "tests" / "rulebook" / "base"
    ran = featheredge("advise", "-", "--json", "--rules", str(base), text=EMPTY)
    assert ran.returncode == exits.OK, ran.stderr
    assert json.loads(ran.stdout)["edition"]["title"] != "Featheredge starter rule book"


def test_an_output_that_cannot_show_every_character_is_no_accident() -> None:
    ran = featheredge("advise", "-", text=FIRST, PYTHONIOENCODING="ascii")
    assert ran.returncode == exits.OK
    assert "Hands-on today" in ran.stdout
    assert ran.stderr == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("options", [(), ("--json",)])
def test_an_output_that_cannot_be_written(options: tuple[str, ...]) -> None:
    with open("/dev/full", "w", encoding="utf-8") as full:
        ran = subprocess.run(
            [sys.executable, "-m", "cds.cli.main", "advise", "-", *options], cwd=ROOT, input=FIRST,
            stdout=full, stderr=subprocess.PIPE, text=True, timeout=60, check=False,
        )  # fmt: skip
    assert ran.returncode == exits.UNREADABLE
    assert "could not be written" in ran.stderr
    assert "Traceback" not in ran.stderr
