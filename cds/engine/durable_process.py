"""The engine's process seen from outside: started, asked with a time limit, killed.

A crash, a hang (the C code may hold the interpreter for ever) and a report of trouble are one and
the same here: `WitnessFailed`, and a process that is gone. The next question starts a new one.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from selectors import EVENT_READ, DefaultSelector
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
COMMAND = (sys.executable, "-m", "cds.engine.durable_child")
MAX_ANSWER = 16 * 1024 * 1024


class WitnessFailed(Exception):
    """The witness gave no answer. Says nothing about the case, and names no value of it."""


class ChildProcess:
    """One child; `ask` sends a line and waits for a line. Not for more than one thread."""

    def __init__(self, timeout: float = 30.0, command: Sequence[str] = COMMAND) -> None:
        self.timeout = timeout
        self.starts = 0
        self.holder: object | None = None
        """Whose rules the process holds."""
        self._command = tuple(command)
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def running(self) -> bool:
        """Whether a process is there and alive."""
        return self._process is not None and self._process.poll() is None

    @property
    def pid(self) -> int | None:
        """The process id, where one is running."""
        return self._process.pid if self._process is not None and self.running else None

    def ask(self, question: dict[str, Any]) -> dict[str, Any]:
        """The answer. `WitnessFailed` where there is none within the time, the process killed."""
        try:
            return self._ask(question)
        except WitnessFailed:
            self.close()
            raise
        except (OSError, ValueError) as error:
            self.close()
            raise WitnessFailed(
                f"the engine's process broke off ({type(error).__name__})"
            ) from None

    def start(self) -> None:
        """Starts a process where none is running."""
        if self.running:
            return
        self.close()
        paths = [str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
        self._process = subprocess.Popen(
            self._command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            # the engine reckons its ten seconds in local time: no summer time in there
            env={**os.environ, "PYTHONPATH": os.pathsep.join(paths), "TZ": "UTC"},
        )
        self.starts += 1

    def close(self) -> None:
        """Kills the process, if there is one."""
        process, self._process = self._process, None
        self.holder = None
        if process is None:
            return
        process.kill()
        for stream in (process.stdin, process.stdout):
            if stream is not None:
                with suppress(OSError):  # unsent bytes to a dead process
                    stream.close()
        process.wait()

    def _ask(self, question: dict[str, Any]) -> dict[str, Any]:
        self.start()
        process = self._process
        if process is None or process.stdin is None or process.stdout is None:
            raise WitnessFailed("the engine's process did not start")
        deadline = time.monotonic() + self.timeout
        # a child reads the whole line before it writes, so this waits only for one that reads
        line = json.dumps(question, separators=(",", ":")).encode() + b"\n"
        received = _exchange(process.stdin.fileno(), process.stdout.fileno(), line, deadline)
        answer = json.loads(received)
        if not isinstance(answer, dict) or "problem" in answer:
            problem = answer.get("problem") if isinstance(answer, dict) else "no object"
            raise WitnessFailed(f"the engine's process reports: {problem}")
        return answer


def _exchange(into: int, out: int, line: bytes, deadline: float) -> bytes:
    """Writes the line and reads one, neither longer than until the deadline."""
    os.set_blocking(into, False)
    received = bytearray()
    with DefaultSelector() as ready:
        ready.register(out, EVENT_READ)
        while not received.endswith(b"\n"):
            with suppress(BlockingIOError):
                line = line[os.write(into, line) :] if line else line
            # while bytes wait to be sent, look again soon; else sleep until an answer comes
            left = deadline - time.monotonic()
            if left <= 0:
                raise WitnessFailed("the engine's process did not answer in time")
            if ready.select(min(left, 0.002) if line else left):
                chunk = os.read(out, 1 << 16)
                if not chunk:
                    raise WitnessFailed("the engine's process ended without an answer")
                received += chunk
                if len(received) > MAX_ANSWER:
                    raise WitnessFailed("the engine's process answered too much")
    return bytes(received)
