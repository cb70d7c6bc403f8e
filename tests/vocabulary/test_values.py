"""Values and tests on them: exact where they can be, unknown where the possibilities disagree."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.vocabulary import values as module
from cds.vocabulary.values import NUMERIC_OPS, Amount, Choice, Op, Tri

ORDER = ("none", "mild", "moderate", "marked")
on_amount = module.test_amount
on_choice = module.test_choice
CHOICE_OPS = (Op.IS, Op.IS_NOT, Op.IN)


def holds(op: Op, value: int, limit: int) -> bool:
    return {
        Op.AT_LEAST: value >= limit, Op.MORE_THAN: value > limit,
        Op.AT_MOST: value <= limit, Op.LESS_THAN: value < limit,
    }[op]  # fmt: skip


def together(answers: set[bool]) -> Tri:
    """What every possibility says, if they say the same."""
    if len(answers) > 1:
        return Tri.UNKNOWN
    return Tri.TRUE if answers == {True} else Tri.FALSE


@given(
    st.integers(-20, 20), st.integers(0, 20), st.sampled_from(sorted(NUMERIC_OPS)),
    st.integers(-25, 25),
)  # fmt: skip
def test_an_amount_is_as_each_number_it_may_be(low: int, more: int, op: Op, limit: int) -> None:
    possible = range(low, low + more + 1)
    wanted = together({holds(op, number, limit) for number in possible})
    assert on_amount(Amount(low, low + more), op, limit) is wanted


@given(st.integers(-20, 20), st.sampled_from(sorted(NUMERIC_OPS)), st.integers(-25, 25))
def test_an_open_end_never_decides_by_itself(end: int, op: Op, limit: int) -> None:
    """Far enough out every half-open amount has numbers on the far side."""
    upward = together({holds(op, number, limit) for number in range(end, end + 100)})
    assert on_amount(Amount(end, None), op, limit) is upward
    downward = together({holds(op, number, limit) for number in range(end - 100, end + 1)})
    assert on_amount(Amount(None, end), op, limit) is downward
    assert on_amount(Amount(None, None), op, limit) is Tri.UNKNOWN


some_words = st.lists(st.sampled_from(ORDER), min_size=1, unique=True).map(tuple)


@given(some_words, some_words, st.sampled_from(CHOICE_OPS))
def test_a_choice_is_as_each_word_it_may_be(
    options: tuple[str, ...], words: tuple[str, ...], op: Op
) -> None:
    if op is not Op.IN:
        words = words[:1]
    wanted = together({(option in words) != (op is Op.IS_NOT) for option in options})
    assert on_choice(Choice(options), op, words, ORDER) is wanted


@given(some_words, st.sampled_from(ORDER), st.sampled_from(sorted(NUMERIC_OPS)))
def test_an_ordered_choice_is_tested_by_its_place(
    options: tuple[str, ...], word: str, op: Op
) -> None:
    places = [ORDER.index(option) for option in options]
    possible = range(min(places), max(places) + 1)
    wanted = together({holds(op, place, ORDER.index(word)) for place in possible})
    assert on_choice(Choice(options), op, (word,), ORDER) is wanted


def test_known_is_true_of_every_value() -> None:
    assert on_choice(Choice(ORDER), Op.KNOWN, (), ORDER) is Tri.TRUE
    assert on_amount(Amount(None, None), Op.KNOWN, 0) is Tri.TRUE


@pytest.mark.parametrize("op", [Op.HOLDS, Op.HAS, Op.HAS_ANY_OF, Op.EMPTY])
def test_operators_of_conclusions_test_no_value(op: Op) -> None:
    with pytest.raises(ValueError, match="does not test a number"):
        on_amount(Amount(1, 1), op, 1)
    with pytest.raises(ValueError, match="does not test a choice"):
        on_choice(Choice(("mild",)), op, ("mild",), ORDER)


def test_exact_only_when_there_is_one_possibility() -> None:
    assert Choice(("mild",)).exact == "mild"
    assert Choice(("mild", "none")).exact is None
    assert (Amount(3, 3).exact, Amount(0, 0).exact) == (3, 0)
    assert [Amount(*ends).exact for ends in ((3, 4), (None, 3), (3, None), (None, None))] == [
        None, None, None, None,
    ]  # fmt: skip
