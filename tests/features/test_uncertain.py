"""Possibilities, exhaustively where they are few."""

from __future__ import annotations

from itertools import product

import pytest

from cds.features import uncertain as u
from cds.vocabulary.values import Amount, Choice, Tri

ALL = (Tri.TRUE, Tri.FALSE, Tri.UNKNOWN)
WORLDS = {Tri.TRUE: {True}, Tri.FALSE: {False}, Tri.UNKNOWN: {True, False}}


def tri(values: set[bool]) -> Tri:
    return Tri.UNKNOWN if len(values) == 2 else (Tri.TRUE if values.pop() else Tri.FALSE)


@pytest.mark.parametrize(("a", "b"), list(product(ALL, ALL)))
def test_kleene_words_agree_with_all_worlds(a: Tri, b: Tri) -> None:
    worlds = list(product(WORLDS[a], WORLDS[b]))
    assert u.every(a, b) is tri({x and y for x, y in worlds})
    assert u.some(a, b) is tri({x or y for x, y in worlds})
    assert u.opposite(a) is tri({not x for x in WORLDS[a]})


def test_without_parts() -> None:
    assert u.every() is Tri.TRUE
    assert u.some() is Tri.FALSE


def test_possible_words() -> None:
    assert u.possible(None, ("a", "b")) == ("a", "b")
    assert u.possible("strange", ("a", "b")) == ("a", "b")
    assert u.possible("b", ("a", "b")) == ("b",)


def test_lift_gives_every_result() -> None:
    assert u.lift(lambda x, y: x + y, ("a", "b"), ("c",)) == {"ac", "bc"}


def test_a_choice_of_everything_or_nothing_is_unknown() -> None:
    order = ("a", "b", "c")
    assert u.choice(["c", "a"], order) == Choice(("a", "c"))
    assert u.choice(order, order) is None
    assert u.choice([], order) is None


def test_truth_words() -> None:
    assert u.truth(Tri.TRUE) == Choice(("yes",))
    assert u.truth(Tri.FALSE) == Choice(("no",))
    assert u.truth(Tri.UNKNOWN) is None


def test_said_knows_only_listed_words() -> None:
    assert u.said("x", ("x",), ("y",)) is Tri.TRUE
    assert u.said("y", ("x",), ("y",)) is Tri.FALSE
    assert u.said("z", ("x",), ("y",)) is Tri.UNKNOWN
    assert u.said(None, ("x",), ("y",)) is Tri.UNKNOWN


def test_among_needs_all_words_to_agree() -> None:
    assert u.among(("a", "b"), ("a", "b", "c")) is Tri.TRUE
    assert u.among(("a", "b"), ("c",)) is Tri.FALSE
    assert u.among(("a", "b"), ("a",)) is Tri.UNKNOWN


def test_at_least_at_the_boundary() -> None:
    assert u.at_least((2, 5), 2) is Tri.TRUE
    assert u.at_least((1, 2), 2) is Tri.UNKNOWN
    assert u.at_least((0, 1), 2) is Tri.FALSE


@pytest.mark.parametrize(("later", "earlier"), [((0, 10), (3, 3)), ((2, 4), (1, 5))])
def test_a_difference_covers_exactly_all_pairs(later: u.Span, earlier: u.Span) -> None:
    pairs = {
        x - y
        for x in range(later[0], later[1] + 1)
        for y in range(earlier[0], earlier[1] + 1)
    }  # fmt: skip
    assert u.difference(later, earlier) == (min(pairs), max(pairs))


def test_an_amount_that_says_nothing_is_unknown() -> None:
    assert u.amount((-10, 10), (-10, 10)) is None
    assert u.amount((-10, 9), (-10, 10)) == Amount(-10, 9)
