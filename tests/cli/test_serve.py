from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cds.cli import exits
from cds.cli.demo import ask, free_port
from cds.cli.serve import is_loopback, run
from cds.settings import DEFAULT_MAX_BODY, Settings
from tests.support.optional import ROOT
from tests.support.shipped import demo

RULES = ROOT / "rules"


@pytest.mark.parametrize("host", ["127.0.0.1", "127.8.9.1", "::1", "localhost", "LOCALHOST"])
def test_addresses_of_this_machine_alone(host: str) -> None:
    assert is_loopback(host)


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.1", "example.org", "localhost.x", ""])
def test_other_addresses_are_not(host: str) -> None:
    assert not is_loopback(host)


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "example.org"])
def test_what_others_can_reach_is_refused(host: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(Settings(), RULES, host, 0) == exits.USAGE
    assert run(Settings(host=host), RULES, None, 0) == exits.USAGE
    said = capsys.readouterr().err
    assert host in said
    assert "FEATHEREDGE_GUARDED" in said


def test_a_port_that_is_none_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(Settings(), RULES, None, 70_000) == exits.USAGE
    assert "70000" in capsys.readouterr().err


def test_a_book_that_does_not_load_serves_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "x.yaml").write_text("language: 9\n", encoding="utf-8")
    assert run(Settings(), tmp_path, None, 0) == exits.NO_RULES
    assert "vet" in capsys.readouterr().err


def started(port: int, **environ: str) -> subprocess.Popen[str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith("FEATHEREDGE_")}
    return subprocess.Popen(
        [sys.executable, "-m", "cds.cli.main", "serve", "--port", str(port)],
        cwd=ROOT, env={**kept, **environ}, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True,
    )  # fmt: skip


def ready(port: int) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            if ask(port, "GET", "/health/ready")[0] == 200:
                return
        except OSError:
            time.sleep(0.05)
    pytest.fail("not ready")


def raw(port: int, data: bytes) -> bytes:
    """The whole answer to bytes on a connection that is then half closed."""
    with socket.create_connection(("127.0.0.1", port), timeout=10) as connection:
        connection.sendall(data)
        connection.shutdown(socket.SHUT_WR)
        found = b""
        while part := connection.recv(65_536):
            found += part
        return found


def test_a_real_server_answers_logs_json_without_values_and_stops() -> None:
    port = free_port()
    child = started(port)
    try:
        ready(port)
        body = demo("first_visit")
        body["case"]["subject"] = "canary-word-7351"
        status, envelope = ask(port, "POST", "/v1/advice", json.dumps(body).encode())
        assert status == 200
        assert envelope["kind"] == "given"

        large = b"x" * (DEFAULT_MAX_BODY + 1)
        assert ask(port, "POST", "/v1/advice", large)[0] == 413
        head = (
            b"POST /v1/advice HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
            b"Transfer-Encoding: chunked\r\n\r\n"
        )
        part = b"10000\r\n" + b" " * 65_536 + b"\r\n"
        assert raw(port, head + part * 5 + b"0\r\n\r\n").startswith(b"HTTP/1.1 413")
        # a sender that leaves half-way gets nothing and disturbs nobody
        assert raw(port, head + b"5\r\n{") == b""

        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        connection.request("HEAD", "/v1/rulebook")
        answer = connection.getresponse()
        assert (answer.status, answer.read()) == (200, b"")
        assert answer.getheader("server") is None
        connection.close()

        assert raw(port, b"canary-word-7351\r\n\r\n").startswith(b"HTTP/1.1 400")
        # the next one still gets its answer
        assert ask(port, "GET", "/health/live")[0] == 200
    finally:
        child.send_signal(signal.SIGTERM)
        out, err = child.communicate(timeout=30)
    assert child.returncode in (exits.OK, -signal.SIGTERM)
    lines = [json.loads(line) for line in err.splitlines()]
    assert {"serving", "request"} <= {line["event"] for line in lines}
    assert "canary" not in out + err
    assert "Traceback" not in out + err


def test_a_port_in_use_is_said() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        child = started(taken.getsockname()[1])
        _, err = child.communicate(timeout=60)
    assert child.returncode == exits.USAGE
    assert "Cannot listen" in err
    assert "Traceback" not in err
