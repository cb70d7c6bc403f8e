"""Walking a condition, and how many members a group needs."""

from __future__ import annotations

import pytest

from cds.rulebook.conditions import Group, Leaf, Members, Source, leaves, need
from cds.vocabulary.values import Op

A, B, C = (Leaf(Source.FINDING, name, Op.KNOWN) for name in "abc")


def test_leaves_in_written_order() -> None:
    inner = Members(Group.SOME, (C, A), at_least=1)
    assert list(leaves(Members(Group.ALL, (B, inner, Members(Group.NONE, (A,)))))) == [B, C, A, A]
    assert list(leaves(A)) == [A]


@pytest.mark.parametrize(
    ("group", "at_least", "wanted"),
    [(Group.ALL, 0, 3), (Group.ANY, 0, 1), (Group.NONE, 0, 1), (Group.SOME, 2, 2)],
)
def test_need(group: Group, at_least: int, wanted: int) -> None:
    assert need(Members(group, (A, B, C), at_least)) == wanted
