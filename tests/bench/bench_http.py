"""What an advice costs at the HTTP door, as a multiple of an empty endpoint in the same run.

`python tests/bench/bench_http.py`. Calls go straight into the application, without sockets: what is
measured is ours. Ratios are to be compared between runs, microseconds are not.
"""

from __future__ import annotations

import asyncio
import io
import json
import sys
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from cds.api.app import create_app
from cds.service.log import new_log
from tests.support.shipped import demo, shipped_service

ROUNDS = 200
EMPTY = ("GET", "/health/live", "", b"")


async def call(app: Any, method: str, path: str, query: str, body: bytes) -> int:
    """One request; returns the number of bytes of the answer. Raises where it is not 200."""
    size, status = 0, 0

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: dict[str, Any]) -> None:
        nonlocal size, status
        status = message.get("status", status)
        size += len(message.get("body", b""))

    scope = {
        "type": "http", "http_version": "1.1", "method": method, "path": path, "root_path": "",
        "raw_path": path.encode(), "query_string": query.encode(), "scheme": "http",
        "server": ("localhost", 80), "client": None,
        "headers": [(b"content-type", b"application/json")],
    }  # fmt: skip
    await app(scope, receive, send)
    if status != 200:
        raise RuntimeError(f"{path} answered {status}")
    return size


async def measure(rounds: int = ROUNDS) -> list[tuple[str, float, float, int]]:
    """Name, microseconds (median), multiple of the empty endpoint, bytes, for each request."""
    app = create_app(shipped_service(), log=new_log("error", io.StringIO()))
    nothing = json.dumps({"case": {"as_of": "2026-11-20", "moment": "before_session"}}).encode()
    first, sixth = (json.dumps(demo(name)).encode() for name in ("first_visit", "sixth_visit"))
    requests = {
        "empty endpoint": EMPTY,
        "check, first visit": ("POST", "/v1/cases/check", "", first),
        "advice, empty case": ("POST", "/v1/advice", "", nothing),
        "advice, first visit": ("POST", "/v1/advice", "", first),
        "advice, sixth visit": ("POST", "/v1/advice", "", sixth),
        "advice in full, sixth visit": ("POST", "/v1/advice", "detail=full", sixth),
    }
    times: dict[str, list[float]] = {name: [] for name in requests}
    sizes: dict[str, int] = {}
    for name, request in requests.items():
        sizes[name] = await call(app, *request)
    for _ in range(rounds):  # in turns, so that a busy moment falls on all of them
        for name, request in requests.items():
            begun = perf_counter()
            await call(app, *request)
            times[name].append((perf_counter() - begun) * 1e6)
    unit = median(times["empty endpoint"])
    return [(name, median(t), median(t) / unit, sizes[name]) for name, t in times.items()]


if __name__ == "__main__":
    print(f"{'request':<30}{'median µs':>12}{'× empty':>10}{'bytes':>10}")
    for name, micro, ratio, size in asyncio.run(measure()):
        print(f"{name:<30}{micro:>12.0f}{ratio:>10.1f}{size:>10}")
