"""The oracle's single tests, checked against values worked out by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cds.engine.reference_leaves import (
    Said,
    all_agree,
    compare,
    conclusion_possibilities,
    finding_passes,
    policy_passes,
)
from cds.rulebook.book import PolicyChoice
from cds.rulebook.conditions import Leaf, Source
from cds.vocabulary.model import Combine, Conclusion
from cds.vocabulary.values import Amount, Choice, Op, Tri
from tests.support.books import EVIDENCE, choice, number

SCALE = Conclusion("scale", "Scale", Combine.WORST, values=("mild", "middle", "hard"))
LIMIT = Conclusion("limit", "Limit", Combine.LOWEST, values=("barred", "some", "full"))


def test_agreement() -> None:
    assert all_agree([True, True]) is Tri.TRUE
    assert all_agree([False]) is Tri.FALSE
    assert all_agree([False, True]) is Tri.UNKNOWN


def test_words_compare_no_numbers() -> None:
    with pytest.raises(ValueError, match="compares no numbers"):
        compare(Op.IS, 1, 1)


@pytest.mark.parametrize(
    ("low", "high", "wanted"),
    [(5, 5, Tri.TRUE), (4, 4, Tri.FALSE), (4, 5, Tri.UNKNOWN), (None, 4, Tri.FALSE),
     (5, None, Tri.TRUE), (None, None, Tri.UNKNOWN)],
)  # fmt: skip
def test_amounts(low: int | None, high: int | None, wanted: Tri) -> None:
    leaf = Leaf(Source.FINDING, "n", Op.AT_LEAST, ("2.5",), Decimal("2.5"))
    assert finding_passes(number("n", "0.5"), Amount(low, high), leaf, leaf.words) is wanted


def test_choices() -> None:
    entry = choice("c", "a", "b", "c", ordered=True)

    def said(op: Op, words: tuple[str, ...], *options: str) -> Tri:
        return finding_passes(entry, Choice(options), Leaf(Source.FINDING, "c", op, words), words)

    assert said(Op.IS, ("a",), "a") is Tri.TRUE
    assert said(Op.IS_NOT, ("a",), "b", "c") is Tri.TRUE
    assert said(Op.IN, ("a", "b"), "b", "c") is Tri.UNKNOWN
    assert said(Op.MORE_THAN, ("a",), "b", "c") is Tri.TRUE
    assert said(Op.AT_MOST, ("a",), "b") is Tri.FALSE


@pytest.mark.parametrize(
    ("conclusion", "fired", "could", "op", "word", "wanted"),
    [
        (SCALE, set(), set(), Op.AT_LEAST, "middle", Tri.FALSE),
        (SCALE, set(), {"hard"}, Op.AT_LEAST, "middle", Tri.UNKNOWN),
        (SCALE, {"middle"}, {"hard"}, Op.AT_LEAST, "middle", Tri.TRUE),
        (SCALE, {"middle"}, {"hard"}, Op.AT_LEAST, "hard", Tri.UNKNOWN),
        (SCALE, {"hard"}, {"middle"}, Op.AT_MOST, "middle", Tri.FALSE),
        (LIMIT, set(), set(), Op.AT_LEAST, "full", Tri.TRUE),
        (LIMIT, set(), {"some"}, Op.AT_LEAST, "some", Tri.TRUE),
        (LIMIT, set(), {"barred"}, Op.AT_LEAST, "some", Tri.UNKNOWN),
        (LIMIT, {"barred"}, {"full"}, Op.LESS_THAN, "some", Tri.TRUE),
    ],
)
def test_scales(
    conclusion: Conclusion, fired: set[str], could: set[str], op: Op, word: str, wanted: Tri
) -> None:
    found = conclusion_possibilities(conclusion, None, Said(fired, could), op, (word,))
    assert all_agree(found) is wanted


def test_flags_and_sets() -> None:
    flag = Conclusion("flag", "Flag", Combine.FLAG)
    pool = Conclusion("pool", "Pool", Combine.SET, values=("a", "b"))

    def said(conclusion: Conclusion, fired: set[str], could: set[str], op: Op, *words: str) -> Tri:
        return all_agree(conclusion_possibilities(conclusion, None, Said(fired, could), op, words))

    assert said(flag, {"yes"}, {"yes"}, Op.HOLDS) is Tri.TRUE
    assert said(flag, set(), {"yes"}, Op.HOLDS) is Tri.UNKNOWN
    assert said(flag, set(), set(), Op.HOLDS) is Tri.FALSE
    assert said(pool, {"a"}, set(), Op.HAS, "b") is Tri.FALSE
    assert said(pool, {"a"}, {"b"}, Op.HAS_ANY_OF, "a", "b") is Tri.TRUE
    assert said(pool, set(), {"b"}, Op.EMPTY) is Tri.UNKNOWN
    assert said(pool, set(), set(), Op.EMPTY) is Tri.TRUE


def test_policies() -> None:
    session = PolicyChoice("s", "S", 5, (), 1, 12, "r", EVIDENCE)
    early = PolicyChoice("e", "E", "off", ("off", "on"), None, None, "r", EVIDENCE)
    leaf = Leaf(Source.POLICY, "s", Op.AT_LEAST, ("5",))
    assert policy_passes(session, leaf, ("5",))
    assert not policy_passes(session, leaf, ("6",))
    assert policy_passes(early, Leaf(Source.POLICY, "e", Op.IS_NOT, ("on",)), ("on",))
