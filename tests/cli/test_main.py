from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import cds
from cds.cli import exits
from cds.cli.main import main, parser
from tests.support.optional import ROOT


def featheredge(
    *arguments: str, text: str = "", **environ: str
) -> subprocess.CompletedProcess[str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith("FEATHEREDGE_")}
    return subprocess.run(
        [sys.executable, "-m", "cds.cli.main", *arguments], cwd=ROOT, env={**kept, **environ},
        input=text, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


def test_the_help_has_every_exit_code(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        parser().parse_args(["--help"])
    assert ended.value.code == 0
    shown = capsys.readouterr().out
    for code, meaning in exits.TABLE:
        assert f"{code:>3}  {meaning}" in shown


def test_the_version_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--version"])
    assert capsys.readouterr().out == f"featheredge {cds.__version__}\n"


@pytest.mark.parametrize("arguments", [(), ("dance",), ("advise",), ("serve", "--port", "x")])
def test_wrong_usage(arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == exits.USAGE
    assert "usage" in capsys.readouterr().err


def test_a_wrong_setting_is_wrong_usage() -> None:
    ran = featheredge("vet", FEATHEREDGE_PORT="high")
    assert ran.returncode == exits.USAGE
    assert "FEATHEREDGE_PORT" in ran.stderr
    assert "Traceback" not in ran.stderr


def test_the_option_goes_before_the_setting(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("FEATHEREDGE_RULES", str(ROOT / "tests" / "rulebook" / "base"))
    assert main(["vet"]) == exits.OK
    assert main(["vet", "--rules", str(tmp_path / "none")]) == exits.UNREADABLE
    assert "no such folder" in capsys.readouterr().err


def test_serving_is_refused_beyond_this_machine() -> None:
    ran = featheredge("serve", "--host", "0.0.0.0")
    assert ran.returncode == exits.USAGE
    assert "credentials" in ran.stderr


def test_a_verb_loads_only_its_own_door() -> None:
    code = (
        "import sys; from cds.cli.main import main; main(['vet']); "
        "print(sorted({'fastapi', 'uvicorn', 'cds.decide'} & set(sys.modules)))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert ran.stdout.splitlines()[-1] == "[]", ran.stderr


def test_a_reader_that_has_seen_enough_is_no_error() -> None:
    """`advise … | head -1`: the pipe is closed while there is more to say; no trace, code 0."""
    read, write = os.pipe()
    os.close(read)
    case = str(ROOT / "fixtures" / "demo" / "first_visit.json")
    ended = subprocess.run(
        [sys.executable, "-m", "cds.cli.main", "advise", case],
        stdout=write, stderr=subprocess.PIPE, cwd=ROOT, check=False,
    )  # fmt: skip
    os.close(write)
    assert ended.returncode == exits.OK
    assert ended.stderr == b""
