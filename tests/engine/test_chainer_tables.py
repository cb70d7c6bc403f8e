"""The chainer's tables: codes, and what each answer decides."""

from __future__ import annotations

from random import Random

from cds.engine.chainer_tables import Tables, code_of, leaf_truth
from cds.engine.randombook import random_book
from cds.engine.randomcase import random_value
from cds.rulebook.compile import compile_book
from cds.vocabulary.values import NOT_APPLICABLE, Choice, Tri


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
