"""How much of a request the explanation takes, on the shipped rule book.

`python tests/bench/bench_explain.py`. Explanation is all that `cds.explain` does for an advice of
the default (compact) detail: also cards, exercises and texts, though those are the advice itself.
The whole request is what the application does from body to answer: reading, deciding, explaining,
making it compact, serialising. Both are taken from the same request, so that their ratio holds on
any machine. Fails where the median over the requests reaches the third that the project promises.
A case of which nothing is known stands apart: all rules are open in it, so that there is much to
explain and little to read and decide.
"""

from __future__ import annotations

import asyncio
import io
import json
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from inspect import isfunction
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any
from unittest.mock import patch

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import cds.decide
import cds.service.advise
from cds.api.app import create_app
from cds.explain.notmade import Missed
from cds.service.log import new_log
from tests.bench.bench_http import call
from tests.support.fixtures import read
from tests.support.optional import ROOT
from tests.support.shipped import demo, shipped_service

ROUNDS = 100
PROMISED = 1 / 3


class Clock:
    """Adds up the time inside wrapped functions, calls within calls counted once."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = {}
        self.inside = False

    def wrap(self, work: Callable[..., Any], name: str) -> Callable[..., Any]:
        def timed(*args: Any, **kwargs: Any) -> Any:
            if self.inside:
                return work(*args, **kwargs)
            self.inside = True
            begun = perf_counter()
            try:
                return work(*args, **kwargs)
            finally:
                self.spent[name] = self.spent.get(name, 0.0) + perf_counter() - begun
                self.inside = False

        return timed


@contextmanager
def clocked() -> Iterator[Clock]:
    """Every function of `cds.explain` that deciding and the use case call, behind a clock."""
    clock = Clock()
    with ExitStack() as stack:
        for module in (cds.decide, cds.service.advise):
            for name, part in list(vars(module).items()):
                if isfunction(part) and part.__module__.startswith("cds.explain"):
                    stack.enter_context(patch.object(module, name, clock.wrap(part, name)))
        stack.enter_context(patch.object(Missed, "at", clock.wrap(Missed.at, "Missed.at")))
        yield clock


CASES = ("bilateral-flexed", "anticoagulant", "bone-density-osteoporotic", "cauda-equina-bladder")


def bodies() -> dict[str, bytes]:
    """The requests: nothing known, both demonstrations, and some fixtures."""
    found: dict[str, Any] = {
        "nothing known": {"case": {"as_of": "2026-11-20", "moment": "before_session"}},
        "first visit": demo("first_visit"),
        "sixth visit": demo("sixth_visit"),
    }
    for name in CASES:
        found[name] = {"case": read(ROOT / "fixtures" / "cases" / f"{name}.yaml").case}
    return {name: json.dumps(body, default=float).encode() for name, body in found.items()}


async def measure(rounds: int = ROUNDS) -> tuple[dict[str, float], dict[str, float]]:
    """The median share of the explanation for each request, and of each of its parts over all."""
    app = create_app(shipped_service(), log=new_log("error", io.StringIO()))
    requests = bodies()
    shares: dict[str, list[float]] = {}
    parts: dict[str, list[float]] = {}
    with clocked() as clock:
        for turn in range(rounds + 1):  # in turns, so that a busy moment falls on all of them
            for name, body in requests.items():
                clock.spent.clear()
                begun = perf_counter()
                await call(app, "POST", "/v1/advice", "", body)
                whole = perf_counter() - begun
                if turn:  # the first is for warming up
                    shares.setdefault(name, []).append(sum(clock.spent.values()) / whole)
                    for part, spent in clock.spent.items():
                        parts.setdefault(part, []).append(spent / whole)
    middle = {part: median(values) for part, values in parts.items()}
    return {name: median(values) for name, values in shares.items()}, middle


if __name__ == "__main__":
    rules = len(shipped_service().program.rules)
    shares, parts = asyncio.run(measure())
    print(f"{'request, ' + str(rules) + ' rules':<34}{'explanation':>12}")
    for name, share in shares.items():
        print(f"{name:<34}{share:>12.1%}")
    over_all = median(shares.values())
    print(f"{'median':<34}{over_all:>12.1%}")
    for name, share in sorted(parts.items(), key=lambda part: -part[1]):
        print(f"  {name:<32}{share:>12.1%}")
    if over_all >= PROMISED:
        sys.exit("The explanation takes a third of the request or more.")
