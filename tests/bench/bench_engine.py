"""How the engine's times compare with each other, on one generated book of 300 rules.

Run from the project's root: `python -m tests.bench.bench_engine`. Prints the shortest times of
one run; only the ratios mean anything beyond this machine.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from time import perf_counter

from cds.engine.chainer import Chainer
from cds.engine.port import Inputs
from cds.engine.randombook import random_book
from cds.engine.randomcase import random_value
from cds.engine.reference import Reference
from cds.rulebook.compile import compile_book
from cds.rulebook.program import Program
from cds.vocabulary.values import Input

LEVELS = frozenset({"L4", "L5"})


def micros(work: Callable[[], object], times: int) -> float:
    """The shortest time of a call, in microseconds: what else the machine does only adds."""
    took = []
    for _ in range(times):
        start = perf_counter()
        work()
        took.append(perf_counter() - start)
    return min(took) * 1e6


def filled(program: Program, share: float) -> Inputs:
    """Two listed levels, and this share of everything that may be recorded."""
    rng = Random(7)
    values: dict[str, Input] = {}
    for name, entry in (*program.findings.items(), *program.features.items()):
        if "path" in name:
            continue
        grounded = [f"{name}@{x}" for x in LEVELS] if name.startswith("segment.") else [name]
        for one in grounded:
            if rng.random() < share:
                values[one] = random_value(rng, entry)
    return Inputs(values, LEVELS)


def main() -> None:
    """Prints the table."""
    book = random_book(Random(1), rules=300, findings=150)
    compiling = micros(lambda: compile_book(book), 5)
    program = compile_book(book)
    chainer, uncached, oracle = Chainer(program), Chainer(program, bases=0), Reference(program)
    print(
        f"{len(program.rules)} rules, {len(program.instances)} instances, "
        f"{len(program.leaves)} leaves, {len(program.gates)} gates, {len(program.slots)} slots"
    )
    nothing = filled(program, 0.0)
    empty = micros(lambda: chainer.evaluate(nothing), 400)
    rows = [("compile", compiling, compiling)]
    for name, share in (("empty case", 0.0), ("40 % recorded", 0.4), ("all recorded", 1.0)):
        given = filled(program, share)
        assert chainer.evaluate(given) == oracle.evaluate(given)
        fast = micros(lambda given=given: chainer.evaluate(given), 400)
        bare = micros(lambda given=given: uncached.evaluate(given), 40)
        slow = micros(lambda given=given: oracle.evaluate(given), 10)
        rows.append((f"{name}, {len(given.values)} inputs", fast, empty))
        rows.append(("  base state not kept", bare, fast))
        rows.append(("  reference", slow, fast))
    for name, time, against in rows:
        print(f"{name:32} {time:10.1f} µs {time / against:8.1f} x")


if __name__ == "__main__":
    main()
