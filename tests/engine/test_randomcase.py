"""Random cases are repeatable, and narrowing them keeps what was known."""

from __future__ import annotations

from random import Random

from cds.engine.randombook import random_book
from cds.engine.randomcase import narrowed, random_inputs
from cds.rulebook.compile import compile_book
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice


def test_repeatable() -> None:
    program = compile_book(random_book(Random(1)))
    assert random_inputs(Random(3), program) == random_inputs(Random(3), program)


def test_path_inputs_come_only_when_asked_for() -> None:
    program = compile_book(random_book(Random(1)))
    for seed in range(20):
        assert "path.up_to" in random_inputs(Random(seed), program, path=True).values
        assert "path.up_to" not in random_inputs(Random(seed), program, path=False).values


def test_narrowing_keeps_what_was_known() -> None:
    rng = Random(4)
    program = compile_book(random_book(rng))
    for _ in range(100):
        before = random_inputs(rng, program)
        after = narrowed(rng, program, before)
        assert after.levels == before.levels
        for name, old in before.values.items():
            new = after.values[name]
            if old is NOT_APPLICABLE:
                assert new is NOT_APPLICABLE
            elif isinstance(old, Choice):
                assert isinstance(new, Choice)
                assert set(new.options) <= set(old.options)
            else:
                assert isinstance(new, Amount)
                assert old.low is None or (new.low is not None and new.low >= old.low)
                assert old.high is None or (new.high is not None and new.high <= old.high)
