"""Stages: a rule after every rule whose conclusion it reads; circles are refused."""

from __future__ import annotations

import pytest

from cds.rulebook.book import Write
from cds.rulebook.compile_stages import stages_of
from tests.support.books import asks, concluded, rule


def test_rules_come_after_what_they_read() -> None:
    rules = [
        rule("c", concluded("b"), Write("c", "yes")),
        rule("b", concluded("a"), Write("b", "yes")),
        rule("a", asks("f"), Write("a", "yes")),
        rule("z", asks("f"), Write("z", "yes")),
    ]
    assert stages_of({r.id: r for r in rules}) == (("a", "z"), ("b",), ("c",))


def test_what_is_only_held_counts_too() -> None:
    rules = [
        rule("a", concluded("b"), Write("a", "yes")),
        rule("b", asks("f"), Write("x", "yes"), holds=(Write("b", "yes"),)),
    ]
    assert stages_of({r.id: r for r in rules}) == (("b",), ("a",))


def test_a_circle_is_refused() -> None:
    rules = [
        rule("a", concluded("b"), Write("a", "yes")),
        rule("b", concluded("a"), Write("b", "yes")),
    ]
    with pytest.raises(ValueError, match="circle"):
        stages_of({r.id: r for r in rules})


def test_levels_and_case_are_apart() -> None:
    rules = [
        rule("b", concluded("x"), Write("x", "yes", None, "segment"), for_each=("segment",)),
        rule("a", asks("f"), Write("x", "yes")),
    ]
    assert stages_of({r.id: r for r in rules}) == (("a",), ("b",))
