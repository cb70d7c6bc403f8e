"""Kleene logic of `applies_when`, cell by cell against counting."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import pytest

from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source
from cds.vocabulary.applies import applies, names
from cds.vocabulary.model import Finding, Kind
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Input, Op, Tri
from tests.vocabulary.sample import choice, number, presence

SCORE = number("score", Kind.SCORE, "0", "10")
WEAK = choice("weak", "none", "mild", "severe", ordered=True)
BY_WORD: dict[str, Input | None] = {
    "true": Choice(("yes",)),
    "false": Choice(("no",)),
    "unknown": None,
}
TRUTH = {"true": Tri.TRUE, "false": Tri.FALSE, "unknown": Tri.UNKNOWN}


def lookup(name: str) -> tuple[Finding, Input | None] | None:
    word = name.rsplit("_", 1)[-1]
    return (presence(name), BY_WORD[word]) if word in BY_WORD else None


def leaf(name: str) -> Leaf:
    return Leaf(Source.FINDING, name, Op.IS, ("yes",))


def wanted(group: Group, need: int, words: tuple[str, ...]) -> Tri:
    """By completing the unknowns: true if all completions are, false if none is."""
    ways = [(True, False) if word == "unknown" else (word == "true",) for word in words]
    found = set()
    for way in product(*ways):
        true = sum(way)
        found.add(
            {
                Group.ALL: true == len(way),
                Group.ANY: true > 0,
                Group.NONE: true == 0,
                Group.SOME: true >= need,
            }[group]
        )
    if len(found) == 2:
        return Tri.UNKNOWN
    return Tri.TRUE if found.pop() else Tri.FALSE


@pytest.mark.parametrize("group", Group)
@pytest.mark.parametrize("size", [1, 2, 3])
def test_groups(group: Group, size: int) -> None:
    for words in product(TRUTH, repeat=size):
        members: tuple[Condition, ...] = tuple(
            leaf(f"f{place}_{word}") for place, word in enumerate(words)
        )
        for need in range(1, size + 1):
            found = applies(Members(group, members, need), lookup)
            assert found is wanted(group, need, words), (words, need)


@pytest.mark.parametrize(
    ("finding", "value", "test", "truth"),
    [
        (SCORE, Amount(3, 3), (Op.AT_LEAST, (), Decimal(3)), Tri.TRUE),
        (SCORE, Amount(3, 3), (Op.MORE_THAN, (), Decimal(3)), Tri.FALSE),
        (SCORE, Amount(2, 4), (Op.LESS_THAN, (), Decimal(3)), Tri.UNKNOWN),
        (SCORE, Amount(2, 4), (Op.KNOWN, (), None), Tri.TRUE),
        (SCORE, None, (Op.KNOWN, (), None), Tri.UNKNOWN),
        (WEAK, Choice(("mild", "severe")), (Op.AT_LEAST, ("mild",), None), Tri.TRUE),
        (WEAK, Choice(("none", "severe")), (Op.AT_LEAST, ("mild",), None), Tri.UNKNOWN),
        (WEAK, Choice(("mild",)), (Op.IS_NOT, ("none",), None), Tri.TRUE),
        (WEAK, NOT_APPLICABLE, (Op.IS_NOT, ("none",), None), Tri.FALSE),
        (WEAK, NOT_APPLICABLE, (Op.KNOWN, (), None), Tri.FALSE),
    ],
)
def test_leaves(
    finding: Finding,
    value: Input | None,
    test: tuple[Op, tuple[str, ...], Decimal | None],
    truth: Tri,
) -> None:
    tested = Leaf(Source.FINDING, finding.name, *test)
    assert applies(tested, lambda _: (finding, value)) is truth


def test_what_is_no_finding_is_unknown() -> None:
    assert applies(Leaf(Source.FEATURE, "x_true", Op.IS, ("yes",)), lookup) is Tri.UNKNOWN
    assert applies(leaf("nobody"), lookup) is Tri.UNKNOWN


def test_names_are_those_of_findings_in_written_order() -> None:
    inner = Members(Group.NONE, (leaf("b"), Leaf(Source.FEATURE, "age", Op.KNOWN), leaf("a")))
    assert list(names(Members(Group.ALL, (leaf("c"), inner)))) == ["c", "b", "a"]
    assert list(names(None)) == []
