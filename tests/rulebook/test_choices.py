"""A choice reaches the conditions that name it."""

from __future__ import annotations

import pytest

from cds.rulebook.choices import chosen
from cds.rulebook.conditions import leaves
from cds.rulebook.load import load_book
from tests.support.optional import ROOT


def test_a_number_and_a_word_reach_the_tests_that_name_them() -> None:
    book = load_book(ROOT / "rules")
    named = [x for r in book.rules.values() for x in leaves(r.when) if x.policy == "course_review"]
    assert named
    other = chosen(book, {"course_review": 9})
    assert other.policy["course_review"].value == 9
    found = [x for r in other.rules.values() for x in leaves(r.when) if x.policy == "course_review"]
    assert [int(leaf.number or 0) for leaf in found] == [9] * len(named)
    assert chosen(book, {}).rules == book.rules


def test_a_policy_that_is_not_declared_is_an_error() -> None:
    with pytest.raises(KeyError):
        chosen(load_book(ROOT / "rules"), {"no_such_policy": 1})
