"""Allowed sets agree with the tests as engines make them, value by value."""

from decimal import Decimal

import pytest

from cds.rulebook.checks.ranges import (
    Range,
    both,
    either,
    is_empty,
    plausible,
    steps_allowed,
    words_allowed,
)
from cds.rulebook.conditions import Leaf, Source
from cds.vocabulary import values
from cds.vocabulary.values import NUMERIC_OPS, Amount, Choice, Op, Tri

VALUES = ("none", "some", "much", "most")


@pytest.mark.parametrize("negated", [False, True])
@pytest.mark.parametrize("op", [Op.IS, Op.IS_NOT, *sorted(NUMERIC_OPS)])
@pytest.mark.parametrize("word", VALUES)
def test_words_as_engines_test_them(op: Op, word: str, negated: bool) -> None:
    leaf = Leaf(Source.FINDING, "x", op, (word,))
    wanted = Tri.FALSE if negated else Tri.TRUE
    expected = {
        v for v in VALUES if values.test_choice(Choice((v,)), op, (word,), VALUES) is wanted
    }
    assert words_allowed(leaf, VALUES, negated) == expected


def test_words_of_a_list_and_of_known() -> None:
    assert words_allowed(Leaf(Source.FINDING, "x", Op.IN, ("some", "most")), VALUES) == {
        "some", "most"
    }  # fmt: skip
    known = Leaf(Source.FINDING, "x", Op.KNOWN)
    assert words_allowed(known, VALUES) == set(VALUES)
    assert words_allowed(known, VALUES, negated=True) == set()


@pytest.mark.parametrize("negated", [False, True])
@pytest.mark.parametrize("op", sorted(NUMERIC_OPS))
@pytest.mark.parametrize("limit", [-2, 0, 3])
def test_steps_as_engines_test_them(op: Op, limit: int, negated: bool) -> None:
    allowed = steps_allowed(Leaf(Source.FINDING, "x", op), limit, negated)
    assert allowed is not None
    wanted = Tri.FALSE if negated else Tri.TRUE
    for step in range(-6, 7):
        inside = not is_empty(both(allowed, Range(step, step)))
        assert inside is (values.test_amount(Amount(step, step), op, limit) is wanted)


def test_ranges_meet_and_join() -> None:
    assert both(Range(1, 5), Range(3)) == Range(3, 5)
    assert is_empty(both(Range(1, 2), Range(3, 4)))
    assert either(Range(1, 2), Range(4, 5)) == Range(1, 5)
    assert either(Range(3, 2), Range(4, 5)) == Range(4, 5)
    assert either(Range(high=2), Range(4, 5)) == Range(None, 5)


def test_plausible_is_in_steps() -> None:
    assert plausible(Decimal("33.0"), None, Decimal("0.1")) == Range(330, None)


def test_words_and_ranges_do_not_mix() -> None:
    with pytest.raises(TypeError):
        both(frozenset({"a"}), Range())
    with pytest.raises(TypeError):
        either(Range(), frozenset({"a"}))
