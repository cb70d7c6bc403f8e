"""A process that crashes, hangs, lies or is killed is a reported failure; the next start is new.

The children here are small programs of our own, so this runs without durable-rules.
"""

from __future__ import annotations

import os
import signal
import sys
import time

import pytest

from cds.engine.durable_process import ChildProcess, WitnessFailed

ECHO = "import sys\nfor line in sys.stdin: print(line, end='', flush=True)"


def child(script: str, timeout: float = 20.0) -> ChildProcess:
    return ChildProcess(timeout, (sys.executable, "-c", script))


def test_answers_come_back_and_one_process_serves_many() -> None:
    found = child(ECHO)
    try:
        for number in range(20):
            assert found.ask({"facts": [number]}) == {"facts": [number]}
        assert found.starts == 1
    finally:
        found.close()
    assert not found.running
    assert found.pid is None


def test_a_line_larger_than_the_pipes_goes_through() -> None:
    found = child(ECHO)
    try:
        long = ["x" * 100] * 20_000
        assert found.ask({"facts": long}) == {"facts": long}
    finally:
        found.close()


@pytest.mark.parametrize(
    ("script", "said"),
    [
        ("import os; os.kill(os.getpid(), 11)", "ended without an answer|broke off"),
        ("input(); raise SystemExit(3)", "ended without an answer"),
        ("input(); print('no json')", "broke off"),
        ("input(); print('[1]')", "no object"),
        ('input(); print(\'{"problem": "EngineFault"}\')', "reports: EngineFault"),
    ],
)
def test_a_crash_or_a_strange_answer_is_a_failure(script: str, said: str) -> None:
    found = child(script)
    with pytest.raises(WitnessFailed, match=said):
        found.ask({"facts": []})
    assert not found.running


def test_a_hang_ends_with_the_time_and_the_process_is_gone() -> None:
    found = child("import time; time.sleep(60)", timeout=0.4)
    begun = time.monotonic()
    with pytest.raises(WitnessFailed, match="in time"):
        found.ask({"facts": ["x" * 100] * 20_000})  # it does not even read
    assert time.monotonic() - begun < 10
    assert not found.running


def test_a_process_killed_from_outside_is_started_again() -> None:
    found = child(ECHO)
    try:
        found.ask({"n": 1})
        pid = found.pid
        assert pid is not None
        os.kill(pid, signal.SIGKILL)
        os.waitid(os.P_PID, pid, os.WEXITED | os.WNOWAIT)
        assert found.ask({"n": 2}) == {"n": 2}
        assert (found.starts, found.pid == pid) == (2, False)
    finally:
        found.close()


def test_a_command_that_does_not_exist() -> None:
    found = ChildProcess(5.0, ("/nonexistent/python",))
    with pytest.raises(WitnessFailed, match="FileNotFoundError"):
        found.ask({})


def test_closing_twice_does_nothing() -> None:
    found = child(ECHO)
    found.start()
    found.close()
    found.close()
