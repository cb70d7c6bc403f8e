"""The chainer's tables: codes, and what each answer decides."""

from __future__ import annotations

from random import Random

import pytest

from cds.engine.chainer_tables import Tables, code_of, leaf_truth
from cds.engine.randombook import random_book
from cds.engine.randomcase import random_value
from cds.rulebook.book import Write
from cds.rulebook.compile import compile_book
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Op, Tri
from tests.support.books import asks, book, number, rule


def test_codes_of_a_literal_and_its_denial_differ_in_the_last_bit() -> None:
    for node in range(5):
        assert code_of(node) == 2 * node
        assert code_of(~node) == code_of(node) ^ 1


def test_what_an_answer_decides_is_each_leaf_tested_alone() -> None:
    for seed in range(20):
        rng = Random(seed)
        program = compile_book(random_book(rng))
        tables = Tables(program)
        for name, found in tables.leaves.items():
            base = name.partition("@")[0]
            entry = program.findings.get(base) or program.features[base]
            for value in (random_value(rng, entry), NOT_APPLICABLE):
                wanted = set()
                for leaf in found:
                    truth = leaf_truth(leaf, value)
                    if truth is not Tri.UNKNOWN:
                        wanted.add(2 * leaf.node + (truth is Tri.FALSE))
                assert set(tables.decided(name, value)) == wanted


def test_unlisted_words_and_names() -> None:
    program = compile_book(random_book(Random(2)))
    tables = Tables(program)
    assert tables.decided("nothing", Choice(("yes",))) == ()
    assert tables.decided("nothing", NOT_APPLICABLE) == ()


def test_counts_are_needs() -> None:
    program = compile_book(random_book(Random(4)))
    tables = Tables(program)
    for gate in program.gates:
        assert tables.to_true[gate.node] == gate.need
        assert tables.to_false[gate.node] == len(gate.members) - gate.need + 1


@pytest.mark.parametrize("op", [Op.AT_LEAST, Op.MORE_THAN, Op.AT_MOST, Op.LESS_THAN, Op.KNOWN])
def test_every_interval_around_a_limit(op: Op) -> None:
    """The one question "does it reach the step" says what the test itself says."""
    leaf = asks("n", op) if op is Op.KNOWN else asks("n", op, "3")
    program = compile_book(book([rule("a", leaf, Write("cautions", "note"))], [number("n")]))
    tables = Tables(program)
    node = program.leaves[0]
    ends = (None, 2, 3, 4)
    for low in ends:
        for high in ends:
            if low is None or high is None or low <= high:
                truth = leaf_truth(node, Amount(low, high))
                wanted = {Tri.TRUE: (0,), Tri.FALSE: (1,), Tri.UNKNOWN: ()}[truth]
                assert tables.decided("n", Amount(low, high)) == wanted
