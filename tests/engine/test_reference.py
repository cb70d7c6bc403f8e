"""The oracle on a small chain worked out by hand, and that it looks at nothing compiled."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from cds.engine.randombook import random_book
from cds.engine.randomcase import random_inputs
from cds.engine.reference import Reference
from cds.rulebook.book import Write
from cds.rulebook.compile import compile_book
from cds.vocabulary.values import NOT_APPLICABLE, Op
from tests.support.books import all_of, asks, book, concluded, inputs, presence, rule

NOTE = Write("cautions", "note")


def test_a_chain() -> None:
    rules = [
        rule(
            "a", asks("fever"), Write("care_today", "no_hands_on"),
            holds=(Write("care_today", "with_precautions"),),
        ),
        rule(
            "b",
            all_of(concluded("care_today", Op.AT_LEAST, "no_hands_on"), asks("segment.s")),
            NOTE, for_each=("segment",),
        ),
    ]  # fmt: skip
    program = compile_book(book(rules, [presence("fever"), presence("segment.s")]))
    oracle = Reference(program)
    l5 = next(i.number for i in program.instances if i.level == "L5")
    assert oracle.evaluate(inputs({}, "L5")).open == (0, l5)
    assert oracle.evaluate(inputs({"fever": "no"}, "L5")).open == ()
    assert oracle.evaluate(inputs({"fever": "yes"}, "L5")).open == (l5,)
    assert oracle.evaluate(inputs({"fever": "yes", "segment.s@L5": "yes"}, "L5")).fired == (0, l5)
    quiet = oracle.evaluate(inputs({"fever": NOT_APPLICABLE}, "L5"))
    assert (quiet.fired, quiet.open) == ((), ())


def test_it_never_looks_at_the_network() -> None:
    """With every compiled leaf, gate, slot and literal taken away it says the same."""
    for seed in range(20):
        rng = Random(seed)
        program = compile_book(random_book(rng))
        bare = replace(
            program, leaves=(), gates=(), nodes=0, slots=(), slot_numbers={}, stages=(),
            instances=tuple(
                replace(i, root=0, then=(), holds=(), reads=()) for i in program.instances
            ),
        )  # fmt: skip
        given = random_inputs(rng, program)
        assert Reference(bare).evaluate(given) == Reference(program).evaluate(given)
