"""The chainer: what it decides, that it never goes back, and that runs share nothing."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from random import Random

import pytest

from cds.engine.chainer import Chainer
from cds.engine.chainer_tables import leaf_truth
from cds.engine.port import Inputs
from cds.engine.randombook import random_book
from cds.engine.randomcase import narrowed, random_inputs
from cds.rulebook.book import Write
from cds.rulebook.compile import compile_book
from cds.rulebook.program import Program
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Op, Tri
from tests.support.books import (
    all_of,
    asks,
    book,
    choice,
    inputs,
    none_of,
    number,
    presence,
    rule,
    some_of,
)

NOTE = Write("cautions", "note")


def random_program(seed: int) -> tuple[Random, Program]:
    rng = Random(seed)
    return rng, compile_book(random_book(rng))


def test_groups() -> None:
    rules = [
        rule("all", all_of(asks("a"), asks("b")), NOTE),
        rule("none", none_of(asks("a"), asks("b")), NOTE),
        rule("two", some_of(2, asks("a"), asks("b"), asks("c")), NOTE),
    ]
    engine = Chainer(compile_book(book(rules, [presence(n) for n in "abc"])))
    assert engine.evaluate(inputs()).open == (0, 1, 2)
    assert engine.evaluate(inputs({"a": "yes"})).open == (0, 2)
    assert engine.evaluate(inputs({"a": "yes", "c": "yes"})).fired == (2,)
    assert engine.evaluate(inputs({"a": "no", "b": "no"})).fired == (1,)


def test_what_does_not_apply_passes_no_test() -> None:
    tests = [asks("a"), asks("a", Op.IS_NOT, "yes"), asks("a", Op.KNOWN)]
    rules = [rule(f"r{n}", leaf, NOTE) for n, leaf in enumerate(tests)]
    engine = Chainer(compile_book(book(rules, [presence("a")])))
    outcome = engine.evaluate(inputs({"a": NOT_APPLICABLE}))
    assert (outcome.fired, outcome.open) == ((), ())


def test_narrow_values_are_unknown_where_they_disagree() -> None:
    rules = [
        rule("in", asks("c", Op.IN, "x", "y"), NOTE),
        rule("is", asks("c", Op.IS, "x"), NOTE),
        rule("old", asks("n", Op.AT_LEAST, "50"), NOTE),
    ]
    engine = Chainer(compile_book(book(rules, [choice("c", "x", "y", "z"), number("n")])))
    outcome = engine.evaluate(inputs({"c": Choice(("x", "y")), "n": Amount(49, 50)}))
    assert (outcome.fired, outcome.open) == ((0,), (1, 2))
    outcome = engine.evaluate(inputs({"c": Choice(("z", "y")), "n": Amount(50, None)}))
    assert (outcome.fired, outcome.open) == ((2,), (0,))


def test_inputs_that_nothing_tests_are_let_pass() -> None:
    engine = Chainer(compile_book(book([rule("a", asks("a"), NOTE)], [presence("a")])))
    assert engine.evaluate(inputs({"other": "yes", "segment.a@L5": "no"})).open == (0,)


def test_a_run_refuses_to_take_back() -> None:
    engine = Chainer(compile_book(book([rule("a", asks("a"), NOTE)], [presence("a")])))
    run = engine.start(inputs({"a": "yes"}))
    run.extend(inputs({"a": "yes"}).values)
    with pytest.raises(ValueError, match="different values"):
        run.extend(inputs({"a": "no"}).values)


def test_going_on_equals_starting_with_all() -> None:
    for seed in range(60):
        rng, program = random_program(seed)
        engine = Chainer(program)
        for _ in range(5):
            whole = random_inputs(rng, program)
            cut = rng.random()
            first = {k: v for k, v in whole.values.items() if rng.random() < cut}
            run = engine.start(Inputs(first, whole.levels))
            run.outcome()
            run.extend({k: v for k, v in whole.values.items() if k not in first})
            assert run.outcome() == engine.evaluate(whole)


def test_node_states_agree_with_outcome() -> None:
    for seed in range(30):
        rng, program = random_program(seed)
        engine = Chainer(program)
        run = engine.start(random_inputs(rng, program))
        outcome = run.outcome()
        for instance in program.instances:
            state = run.node_state(instance.root)
            assert (state is Tri.TRUE) == (instance.number in outcome.fired)
            assert (state is Tri.UNKNOWN) == (instance.number in outcome.open)
            opposite = run.node_state(~instance.root)
            assert {state, opposite} in ({Tri.TRUE, Tri.FALSE}, {Tri.UNKNOWN})


def whole_network(program: Program, given: Inputs) -> list[Tri]:
    """The truth of every node, all worked out in order of their numbers."""
    states = [Tri.UNKNOWN] * program.nodes
    for leaf in program.leaves:
        name, _, level = leaf.input.partition("@")
        value = given.values.get(leaf.input)
        if name == "level":
            states[leaf.node] = Tri.TRUE if level in given.levels else Tri.FALSE
        elif value is not None:
            states[leaf.node] = leaf_truth(leaf, value)
    for gate in program.gates:
        members = [literal_state(states, member) for member in gate.members]
        if members.count(Tri.TRUE) >= gate.need:
            states[gate.node] = Tri.TRUE
        elif len(members) - members.count(Tri.FALSE) < gate.need:
            states[gate.node] = Tri.FALSE
    return states


def literal_state(states: list[Tri], literal: int) -> Tri:
    if literal >= 0:
        return states[literal]
    return {Tri.TRUE: Tri.FALSE, Tri.FALSE: Tri.TRUE, Tri.UNKNOWN: Tri.UNKNOWN}[states[~literal]]


def test_every_test_of_a_listed_level_can_be_asked_for() -> None:
    """Leaving out what only other levels stand on changes nothing that is ever explained."""
    for seed in range(40):
        rng, program = random_program(seed)
        engine = Chainer(program)
        for _ in range(3):
            given = random_inputs(rng, program)
            run, states = engine.start(given), whole_network(program, given)
            for instance in program.instances:
                if instance.level is None or instance.level in given.levels:
                    for literal in (instance.root, *(read.literal for read in instance.reads)):
                        assert run.node_state(literal) is literal_state(states, literal)


def test_an_answer_only_narrows() -> None:
    """Fired stays fired and quiet stays quiet, whatever else becomes known."""
    moved = 0
    for seed in range(80):
        rng, program = random_program(seed)
        engine = Chainer(program)
        for _ in range(4):
            before = random_inputs(rng, program, path=False)
            after = narrowed(rng, program, before)
            one, two = engine.evaluate(before), engine.evaluate(after)
            assert set(one.fired) <= set(two.fired)
            assert set(two.open) <= set(one.open)
            moved += one != two
    assert moved > 100  # the law is not empty


def test_the_cache_of_bases_is_bounded_and_changes_nothing() -> None:
    rng, program = random_program(5)
    small, none, usual = Chainer(program, bases=2), Chainer(program, bases=0), Chainer(program)
    for _ in range(40):
        given = random_inputs(rng, program)
        assert small.evaluate(given) == none.evaluate(given) == usual.evaluate(given)
        assert len(small._bases) <= 2
        assert none._bases == {}


def test_threads_share_one_engine() -> None:
    rng, program = random_program(8)
    given = [random_inputs(rng, program) for _ in range(60)] * 4
    alone = [Chainer(program).evaluate(one) for one in given]
    shared = Chainer(program, bases=3)
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(shared.evaluate, given)) == alone


def test_one_open_instance_and_none() -> None:
    one = Chainer(compile_book(book([rule("a", asks("a"), NOTE)], [presence("a")])))
    assert one.evaluate(inputs()).open == (0,)
    empty = Chainer(compile_book(book([], [])))
    assert empty.evaluate(inputs()).open == ()
