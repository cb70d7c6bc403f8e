"""The witness as an evaluator: agrees on a small chain, survives its process, says when absent."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import replace

import pytest

from cds.engine import durable
from cds.engine.durable import DurableWitness, WitnessFailed, available
from cds.engine.durable_process import ChildProcess
from cds.engine.durable_rails import Derivation, Rails
from cds.engine.durable_translate import translate
from cds.engine.port import Evaluator, Outcome
from cds.rulebook.book import Write
from cds.rulebook.compile import compile_book
from cds.rulebook.program import Program
from cds.vocabulary.values import Op
from tests.support.books import all_of, asks, book, concluded, inputs, presence, rule
from tests.support.optional import require

NOTE = Write("cautions", "note")


@pytest.fixture(scope="module")
def program() -> Program:
    bars = Write("care_today", "no_hands_on")
    rules = [
        rule("a", all_of(asks("fever"), asks("weak")), bars),
        rule("b", concluded("care_today", Op.AT_LEAST, "no_hands_on"), NOTE),
    ]
    return compile_book(book(rules, [presence("fever"), presence("weak")]))


@pytest.fixture
def witness(program: Program) -> Iterator[DurableWitness]:
    require("durable")
    with DurableWitness(program) as found:
        yield found


@pytest.fixture(autouse=True)
def fresh_probe() -> Iterator[None]:
    available.cache_clear()
    yield
    available.cache_clear()


def test_a_chain(witness: DurableWitness) -> None:
    evaluator: Evaluator = witness
    assert evaluator.evaluate(inputs()) == Outcome((), (0, 1))
    assert evaluator.evaluate(inputs({"fever": "yes", "weak": "yes"})) == Outcome((0, 1), ())
    assert evaluator.evaluate(inputs({"fever": "no"})) == Outcome((), ())


def test_nothing_is_left_of_the_case_before(witness: DurableWitness) -> None:
    for _ in range(5):
        assert witness.evaluate(inputs({"fever": "yes", "weak": "yes"})).fired == (0, 1)
        assert witness.evaluate(inputs({"fever": "yes"})) == Outcome((), (0, 1))
    assert witness.process.starts == 1


def test_the_library_stays_out_of_this_process() -> None:
    script = (
        "import sys, cds.engine.durable as d; d.available(); "
        "assert not [n for n in sys.modules if n.split('.')[0].startswith('durable')]"
    )
    subprocess.run([sys.executable, "-c", script], check=True)


def test_a_killed_process_is_started_again(witness: DurableWitness) -> None:
    given = inputs({"fever": "no"})
    witness.evaluate(given)
    pid = witness.process.pid
    assert pid is not None
    os.kill(pid, signal.SIGKILL)
    os.waitid(os.P_PID, pid, os.WEXITED | os.WNOWAIT)
    assert witness.evaluate(given) == Outcome((), ())
    assert witness.process.starts == 2


def test_a_hang_is_a_reported_failure_and_the_next_question_is_answered(
    witness: DurableWitness,
) -> None:
    given = inputs({"fever": "no"})
    witness.evaluate(given)
    pid = witness.process.pid
    assert pid is not None
    os.kill(pid, signal.SIGSTOP)
    witness.process.timeout = 0.3
    with pytest.raises(WitnessFailed, match="in time"):
        witness.evaluate(given)
    witness.process.timeout = 30.0
    assert witness.evaluate(given) == Outcome((), ())


def test_a_process_makes_way_after_a_while(
    witness: DurableWitness, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(durable, "RECYCLE", 3)
    for _ in range(7):
        witness.evaluate(inputs({"fever": "no"}))
    assert witness.process.starts == 3


def test_one_process_serves_several_in_turn(program: Program) -> None:
    require("durable")
    other = compile_book(book([rule("a", asks("cold"), NOTE)], [presence("cold")]))
    both = all_of(asks("cold"), asks("wet"))
    third = compile_book(book([rule("a", both, NOTE)], [presence("cold"), presence("wet")]))
    process = ChildProcess()
    try:
        one, two, three = (DurableWitness(p, process) for p in (program, other, third))
        for _ in range(2):
            assert one.evaluate(inputs({"fever": "yes", "weak": "yes"})).fired == (0, 1)
            assert two.evaluate(inputs({"cold": "yes"})).fired == (0,)
            assert three.evaluate(inputs({"cold": "yes", "wet": "yes"})).fired == (0,)
        assert process.starts == 1
    finally:
        process.close()


def test_threads_take_turns(witness: DurableWitness) -> None:
    wrong: list[object] = []

    def ask(answer: str, wanted: Outcome) -> None:
        for _ in range(25):
            found = witness.evaluate(inputs({"fever": answer, "weak": answer}))
            if found != wanted:
                wrong.append(found)

    threads = [
        threading.Thread(target=ask, args=("yes", Outcome((0, 1), ()))),
        threading.Thread(target=ask, args=("no", Outcome((), ()))),
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []


def test_contradicting_rails_are_a_failure(program: Program) -> None:
    require("durable")
    translation = translate(program)
    level, rails = translation.instances[0]
    wrong = ((level, Rails(rails.true, rails.true)), *translation.instances[1:])
    with (
        DurableWitness(program, translation=replace(translation, instances=wrong)) as found,
        pytest.raises(WitnessFailed, match="both true and false"),
    ):
        found.evaluate(inputs({"fever": "yes", "weak": "yes"}))


def test_a_rule_outside_the_list_is_a_failure(program: Program) -> None:
    require("durable")
    translation = translate(program)
    rules = (*translation.derivations, Derivation((translation.names[0],), "stranger"))
    with (
        DurableWitness(program, translation=replace(translation, derivations=rules)) as found,
        pytest.raises(WitnessFailed, match="outside the list"),
    ):
        found.evaluate(inputs())


def test_an_answer_of_another_kind_is_a_failure(program: Program) -> None:
    answers = "import sys\nfor line in sys.stdin: print('{\"found\": %s}', flush=True)"
    for value, said in (("7", "another kind"), ('["stranger"]', "unknown fact")):
        command = (sys.executable, "-c", answers.replace("%s", value))
        with (
            DurableWitness(program, ChildProcess(20.0, command)) as found,
            pytest.raises(WitnessFailed, match=said),
        ):
            found.evaluate(inputs())


def test_available_where_it_is() -> None:
    require("durable")
    assert available() is None


def test_it_says_why_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(durable.sys, "version_info", (3, 13, 0))
    assert "3.13" in (available() or "")
    monkeypatch.undo()
    available.cache_clear()
    monkeypatch.setattr(durable.importlib.util, "find_spec", lambda name: None)
    assert "C compiler" in (available() or "")


def test_it_says_where_the_import_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(durable.importlib.util, "find_spec", lambda name: object())
    monkeypatch.setattr(durable.sys, "version_info", (3, 12, 0))
    monkeypatch.setattr(durable.sys, "executable", "/bin/false")
    assert "cannot be imported" in (available() or "")
