"""Chainer and oracle agree on random books and cases, instance by instance."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest

from cds.engine.chainer import Chainer
from cds.engine.randombook import random_book
from cds.engine.randomcase import random_inputs
from cds.engine.reference import Reference
from cds.rulebook.compile import compile_book

CASES = 20
"""Cases per book."""


def agree(seeds: range, careful: bool) -> Counter[str]:
    """Compares both engines; counts what was compared."""
    found: Counter[str] = Counter()
    for seed in seeds:
        rng = Random(seed)
        program = compile_book(random_book(rng, careful))
        chainer, oracle = Chainer(program), Reference(program)
        for case in range(CASES):
            given = random_inputs(rng, program)
            one, other = chainer.evaluate(given), oracle.evaluate(given)
            assert one == other, f"seed {seed}, careful {careful}, case {case}"
            found["pairs"] += 1
            found["fired"] += len(one.fired)
            found["open"] += len(one.open)
            found["quiet"] += len(program.instances) - len(one.fired) - len(one.open)
    return found


@pytest.mark.parametrize("careful", [False, True])
def test_slice(careful: bool) -> None:
    found = agree(range(60), careful)
    assert found["pairs"] == 60 * CASES
    assert min(found["fired"], found["open"], found["quiet"]) > 1_000


def test_a_planted_fault_is_found() -> None:
    """One gate that needs one member less is noticed within the slice."""
    noticed = 0
    for seed in range(40):
        rng = Random(seed)
        program = compile_book(random_book(rng))
        gates = list(program.gates)
        place = next((n for n, gate in enumerate(gates) if gate.need > 1), None)
        if place is None:
            continue
        gates[place] = replace(gates[place], need=gates[place].need - 1)
        faulty, oracle = Chainer(replace(program, gates=tuple(gates))), Reference(program)
        noticed += any(
            faulty.evaluate(given) != oracle.evaluate(given)
            for given in (random_inputs(rng, program) for _ in range(CASES))
        )
    assert noticed > 0


@pytest.mark.long
@pytest.mark.parametrize("careful", [False, True])
def test_a_hundred_thousand(careful: bool) -> None:
    found = agree(range(10_000, 12_500), careful)
    assert found["pairs"] == 50_000
