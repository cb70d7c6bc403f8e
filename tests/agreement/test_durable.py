"""Chainer and second witness agree, instance by instance: random pairs, every fixture, the demo.

The witness is another engine, fed by another translation; that a fault of the translation shows
here is shown by planting some.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from random import Random
from typing import Any

import pytest

from cds.cli.casefile import read_case_data
from cds.decide import Decider
from cds.engine import durable_host, durable_translate
from cds.engine.chainer import Chainer
from cds.engine.durable import DurableWitness
from cds.engine.durable_process import ChildProcess
from cds.engine.durable_translate import translate
from cds.engine.path import path_inputs
from cds.engine.port import Inputs
from cds.engine.randombook import random_book
from cds.engine.randomcase import random_inputs
from cds.engine.readings import Readings
from cds.features.compute import inputs as all_inputs
from cds.features.order import order
from cds.rulebook.compile import compile_book
from cds.rulebook.program import Program
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Op
from tests.support.fixtures import FIXTURES, Fixture, decider, folder
from tests.support.optional import require
from tests.support.runner import case_of

require("durable")

PARTS, BOOKS, CASES = 4, 20, 25
"""2,000 pairs: books of a part, cases of a book. In parts, so that workers share them."""

PER_PROCESS = 20
"""Books whose rules one process holds: it never gives their memory back."""


@pytest.fixture(scope="module")
def process() -> Iterator[ChildProcess]:
    found = ChildProcess()
    yield found
    found.close()


def agree(process: ChildProcess, seeds: range, cases: int) -> Counter[str]:
    """Compares both engines; counts what was compared."""
    found: Counter[str] = Counter()
    for seed in seeds:
        if seed % PER_PROCESS == 0:
            process.close()
        rng = Random(seed)
        program = compile_book(random_book(rng, careful=seed % 2 == 0))
        chainer, witness = Chainer(program), DurableWitness(program, process)
        for case in range(cases):
            given = random_inputs(rng, program)
            one, other = chainer.evaluate(given), witness.evaluate(given)
            assert one == other, f"seed {seed}, case {case}"
            found["pairs"] += 1
            found["fired"] += len(one.fired)
            found["open"] += len(one.open)
            found["quiet"] += len(program.instances) - len(one.fired) - len(one.open)
    return found


@pytest.mark.parametrize("part", range(PARTS))
def test_two_thousand_random_pairs(process: ChildProcess, part: int) -> None:
    found = agree(process, range(part * BOOKS, (part + 1) * BOOKS), CASES)
    assert found["pairs"] * PARTS == 2_000
    assert min(found["fired"], found["open"], found["quiet"]) > 1_000


@pytest.mark.long
def test_twenty_thousand_random_pairs(process: ChildProcess) -> None:
    assert agree(process, range(20_000, 20_800), 25)["pairs"] == 20_000


def both_phases(deciding: Decider, case: Case) -> tuple[Inputs, Inputs]:
    """What the case gives to judge by, and the same with its path for the prepare rules."""
    first = all_inputs(deciding.program, case, stand(deciding.vocabulary, case))
    readings = Readings(deciding.program, deciding.chainer.evaluate(first))
    levels = tuple(turn.level for turn in order(case, first.values))
    path = path_inputs(deciding.resolver.paths(readings, levels, first.values).now, levels)
    return first, Inputs({**first.values, **path}, first.levels)


def _demo() -> list[Fixture]:
    found = []
    for path in sorted((FIXTURES / "demo").glob("*.json")):
        data = read_case_data(str(path))
        assert isinstance(data, dict)
        found.append(Fixture(path.stem, "", data, {}))
    return found


def test_every_fixture(process: ChildProcess) -> None:
    found = [*folder("cases"), *folder("published"), *_demo()]
    assert len(found) > 2
    process.close()
    # by policy, so that each edition's rules are built once
    found.sort(key=lambda fixture: repr(fixture.policy))
    for number, fixture in enumerate(found):
        deciding = decider(fixture.policy)
        witness = _witness(deciding.program, process)
        case = _case(deciding, fixture)
        # what it says with the path holds all it says without; that alone is asked of every fourth
        for given in both_phases(deciding, case)[number % 4 != 0 :]:
            assert witness.evaluate(given) == deciding.chainer.evaluate(given), fixture.name


def _case(deciding: Decider, fixture: Fixture) -> Case:
    # a demo case is a case alone
    return case_of(fixture) if fixture.expect else read_case(deciding.vocabulary, fixture.case)


def _witness(program: Program, process: ChildProcess) -> DurableWitness:
    holder = process.holder
    if isinstance(holder, DurableWitness) and holder.program is program:
        return holder
    return DurableWitness(program, process)


def test_the_shipped_book_with_random_inputs(process: ChildProcess) -> None:
    program = decider().program
    chainer, witness = Chainer(program), _witness(program, process)
    rng = Random(5)
    for number in range(60):
        given = random_inputs(rng, program)
        assert witness.evaluate(given) == chainer.evaluate(given), number


def disagreements(process: ChildProcess, make: Callable[[Program], DurableWitness]) -> int:
    """How often a witness with a planted fault is found out, over a slice; stops at the first."""
    process.close()
    for seed in range(PER_PROCESS):
        rng = Random(seed)
        program = compile_book(random_book(rng))
        chainer, witness = Chainer(program), make(program)
        for _ in range(CASES):
            given = random_inputs(rng, program)
            if chainer.evaluate(given) != witness.evaluate(given):
                return 1
    return 0


def _without(op: Op) -> frozenset[Op]:
    return durable_translate.DENIES - {op}


FAULTS: dict[str, tuple[Any, str, Any]] = {
    "more_than read as at_least": (
        durable_translate, "LIKE_AT_LEAST", {**durable_translate.LIKE_AT_LEAST, Op.MORE_THAN: 0},
    ),
    "at_most not denied": (durable_translate, "DENIES", _without(Op.AT_MOST)),
    "empty not denied": (durable_translate, "DENIES", _without(Op.EMPTY)),
    "sides not told apart": (durable_translate, "_at_side", lambda word, side: word),
    "only one end of an interval looked at": (
        durable_host, "_number", lambda op, value, limit: value >= limit,
    ),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_planted_fault_is_found(
    process: ChildProcess, fault: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    where, name, wrong = FAULTS[fault]
    monkeypatch.setattr(where, name, wrong)
    assert disagreements(process, lambda program: DurableWitness(program, process))


def test_a_conjunct_left_out_is_found(process: ChildProcess) -> None:
    def faulty(program: Program) -> DurableWitness:
        translation = translate(program)
        rules = list(translation.derivations)
        place = next((n for n, rule in enumerate(rules) if len(rule.needs) > 1), None)
        if place is not None:
            rules[place] = replace(rules[place], needs=rules[place].needs[1:])
        return DurableWitness(program, process, replace(translation, derivations=tuple(rules)))

    assert disagreements(process, faulty)
