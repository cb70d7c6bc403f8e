from __future__ import annotations

import io
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from rich.console import Console

from cds.cli import demo, exits
from tests.support.optional import ROOT


def test_two_visits_are_shown_with_their_chains_and_the_way_to_serve() -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "cds.cli.demo"], cwd=ROOT, capture_output=True, text=True,
        timeout=120, check=False,
    )  # fmt: skip
    assert ran.returncode == exits.OK, ran.stderr
    assert ran.stdout.count("\nCHAIN") == 2
    assert "Muscle energy technique, flexed on the left, L5" in ran.stdout
    assert "High-velocity low-amplitude thrust" in ran.stdout
    assert "make serve" in ran.stdout
    assert "\x1b" not in ran.stdout


def test_the_child_is_ended_also_when_something_fails() -> None:
    with pytest.raises(RuntimeError), demo.serving() as port:
        assert demo.ask(port, "GET", "/health/live")[0] == 200
        raise RuntimeError
    with socket.socket() as probe:
        probe.settimeout(2)
        assert probe.connect_ex((demo.HOST, port)) != 0


def test_cases_that_are_not_there_are_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert demo.run(Console(file=io.StringIO()), tmp_path) == exits.UNREADABLE
    assert "checkout" in capsys.readouterr().err


def test_a_case_that_is_refused_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for _, name in demo.VISITS:
        (tmp_path / name).write_text('{"case": {}}', encoding="utf-8")
    assert demo.run(Console(file=io.StringIO()), tmp_path) == exits.REFUSED
    assert "422" in capsys.readouterr().err


def test_a_service_that_does_not_start_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(demo, "HOST", "192.0.2.1")
    monkeypatch.setattr(demo, "free_port", lambda: 1)
    with pytest.raises(demo.DemoError, match="did not start"), demo.serving():
        pass
