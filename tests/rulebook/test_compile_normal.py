"""The normal order of a book: found from any order, and left alone once reached."""

from __future__ import annotations

from random import Random

from cds.engine.randombook import LADDER, random_book, shuffled
from cds.rulebook.compile_normal import by_id, normal_book


def same(one: object, other: object) -> bool:
    """Equal, and equal in the order of every mapping (dataclass reprs show it)."""
    return repr(one) == repr(other)


def test_any_order_has_the_same_normal_order() -> None:
    for seed in range(30):
        rng = Random(seed)
        book = random_book(rng)
        assert same(normal_book(shuffled(rng, book)), normal_book(book))


def test_a_normal_book_stays() -> None:
    book = normal_book(random_book(Random(3)))
    assert same(normal_book(book), book)


def test_families_follow_the_ladder_then_names() -> None:
    book = normal_book(random_book(Random(0)))
    names = [family.name for family in book.ladder.families]
    assert names == ["muscle_energy", "mobilization", "thrust", "home_flexion", "position_prone"]
    assert list(book.conclusions["limit"].keys) == names
    assert book.ladder.rungs == LADDER.rungs


def test_by_id() -> None:
    assert list(by_id({"b": 1, "a": 2})) == ["a", "b"]
