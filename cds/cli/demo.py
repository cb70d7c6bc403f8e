"""Two invented visits over HTTP: starts the service, asks it twice, prints both advices, stops it.

`python -m cds.cli.demo`, or `make demo`. Needs a checkout, since the two cases lie in its fixtures.
"""

from __future__ import annotations

import http.client
import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from rich.console import Console

from cds.cli import exits
from cds.cli.render import render
from cds.settings import PACKAGE, PREFIX

VISITS = (
    ("A first visit", "first_visit.json"),
    ("The sixth visit of another patient", "sixth_visit.json"),
)
HOST = "127.0.0.1"
PATIENCE = 60.0
"""Seconds until the service must be ready, on a slow machine too."""


class DemoError(Exception):
    """The demonstration could not go on; the text says why."""


def run(out: Console, cases: Path = PACKAGE.parent / "fixtures" / "demo") -> int:
    """Print both advices; returns an exit code of `cds.cli.exits`."""
    try:
        bodies = [(title, (cases / name).read_bytes()) for title, name in VISITS]
    except OSError as error:
        print(f"{error.filename}: {error.strerror}. The demonstration needs a checkout.",
              file=sys.stderr)  # fmt: skip
        return exits.UNREADABLE
    try:
        with serving() as port:
            for title, body in bodies:
                status, envelope = ask(port, "POST", "/v1/advice?detail=full", body)
                if status != 200:
                    raise DemoError(f"{title}: answered {status}: {json.dumps(envelope)}")
                out.print(f"\n\n{title} (invented), answered over HTTP on {HOST}:{port}")
                out.print(f"Advice {envelope['id']}, {envelope['kind']} {envelope['time']}\n")
                render(envelope["advice"], out)
    except DemoError as error:
        print(error, file=sys.stderr)
        return exits.REFUSED
    out.print("\nThe service is stopped again. To serve: `make serve`, or `featheredge serve`.")
    out.print("Then: curl -s -H 'content-type: application/json' \\")
    out.print("        --data @fixtures/demo/first_visit.json http://127.0.0.1:8642/v1/advice")
    return exits.OK


@contextmanager
def serving() -> Iterator[int]:
    """A service in a child process, ready; gives its port, and ends the child afterwards."""
    environ = {key: value for key, value in os.environ.items() if not key.startswith(PREFIX)}
    environ[f"{PREFIX}LOG_LEVEL"] = "warning"
    port = free_port()
    command = [sys.executable, "-m", "cds.cli.main", "serve", "--host", HOST, "--port", str(port)]
    with tempfile.TemporaryFile("w+") as said:
        child = subprocess.Popen(
            command, cwd=PACKAGE.parent, env=environ, stdin=subprocess.DEVNULL, stdout=said,
            stderr=said,
        )  # fmt: skip
        try:
            _wait(child, port, said)
            yield port
        finally:
            child.terminate()
            try:
                child.wait(10)
            except subprocess.TimeoutExpired:
                child.kill()
                child.wait()


def free_port() -> int:
    """A port of the loopback address that nobody uses now."""
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return int(probe.getsockname()[1])


def _wait(child: subprocess.Popen[bytes], port: int, said: IO[str]) -> None:
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        if child.poll() is not None:
            said.seek(0)
            raise DemoError(f"The service did not start (exit {child.returncode}).\n{said.read()}")
        try:
            if ask(port, "GET", "/health/ready")[0] == 200:
                return
        except OSError:  # nobody listens yet
            pass
        time.sleep(0.05)
    raise DemoError(f"The service was not ready after {PATIENCE:.0f} seconds.")


def ask(port: int, method: str, path: str, body: bytes | None = None) -> tuple[int, Any]:
    """Status and JSON of one answer. Raises `OSError` where nobody listens."""
    connection = http.client.HTTPConnection(HOST, port, timeout=30)
    try:
        headers = {"content-type": "application/json"} if body is not None else {}
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        return answer.status, json.loads(answer.read())
    finally:
        connection.close()


if __name__ == "__main__":
    sys.exit(run(Console(highlight=False)))
