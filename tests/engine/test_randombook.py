"""Random books are repeatable, legal, varied, and careful where they say so."""

from __future__ import annotations

from collections import Counter
from random import Random

from cds.engine.chainer import Chainer
from cds.engine.randombook import random_book, shuffled
from cds.engine.randomcase import random_inputs
from cds.rulebook.book import Book, Phase, Write
from cds.rulebook.checks import check_book, mirror_problems
from cds.rulebook.compile import compile_book
from cds.rulebook.conditions import Group, Members, Source, leaves
from cds.vocabulary.model import Careful, Combine
from cds.vocabulary.values import NUMERIC_OPS

BOOKS = [random_book(Random(seed), careful=seed % 2 == 0) for seed in range(80)]


def test_the_same_seed_is_the_same_book() -> None:
    assert random_book(Random(5)) == random_book(Random(5))
    assert random_book(Random(5)) != random_book(Random(6))


def test_sizes() -> None:
    assert all(5 <= len(book.rules) <= 25 for book in BOOKS)
    assert len(random_book(Random(1), rules=300, findings=150).rules) == 300


def stricter(book: Book, held: Write, then: Write) -> bool:
    entry = book.conclusions[held.conclusion]
    values = entry.values_of(held.key)
    difference = values.index(held.value) - values.index(then.value)
    return difference < 0 if entry.combine is Combine.LOWEST else difference > 0


def test_holds_are_careful_in_then_and_never_stricter() -> None:
    held = 0
    for book in BOOKS:
        for rule in book.rules.values():
            for hold in rule.holds:
                assert book.conclusions[hold.conclusion].careful is Careful.MORE
                same = [
                    t for t in rule.then
                    if (t.conclusion, t.key, t.reach) == (hold.conclusion, hold.key, hold.reach)
                ]  # fmt: skip
                assert any(not stricter(book, hold, then) for then in same)
                held += 1
    assert held > 100


def test_scales_are_only_compared_and_judges_never_read_the_path() -> None:
    for book in BOOKS:
        for rule in book.rules.values():
            for leaf in leaves(rule.when):
                if leaf.source is Source.FEATURE and "path" in leaf.name:
                    assert rule.phase is Phase.PREPARE
                if leaf.source is not Source.CONCLUSION:
                    continue
                name = leaf.name.removeprefix("segment.").partition(".")[0]
                if name in ("limit", "target"):
                    assert rule.phase is Phase.PREPARE
                scale = book.conclusions[name].combine in (
                    Combine.WORST, Combine.HIGHEST, Combine.LOWEST,
                )  # fmt: skip
                assert scale == (leaf.op in NUMERIC_OPS)


def test_writers_of_a_single_conclusion_exclude_each_other() -> None:
    seen = 0
    for book in BOOKS:
        for rule in book.rules.values():
            for write in rule.then:
                if book.conclusions[write.conclusion].combine is Combine.SINGLE:
                    assert isinstance(rule.when, Members)
                    assert rule.when.group is Group.ALL
                    first = rule.when.members[0]
                    assert getattr(first, "name", "") == "main_side"
                    assert getattr(first, "words", ()) == (write.value,)
                    seen += 1
    assert seen > 5


def test_books_are_varied() -> None:
    """Every source, operator, group, way to combine and reach turns up; rules fire, stay open."""
    found: Counter[object] = Counter()
    for seed, book in enumerate(BOOKS):
        for rule in book.rules.values():
            found.update(leaf.source for leaf in leaves(rule.when))
            found.update(leaf.op for leaf in leaves(rule.when))
            found.update(write.reach for write in rule.then)
            found.update(book.conclusions[write.conclusion].combine for write in rule.then)
            found[rule.phase] += 1
            found[rule.for_each] += 1
        program = compile_book(book)
        rng = Random(seed)
        for _ in range(5):
            outcome = Chainer(program).evaluate(random_inputs(rng, program))
            found["fired"] += bool(outcome.fired)
            found["open"] += bool(outcome.open)
    for kind in (*Source, *Combine, *Phase, "case", "segment", "adjacent", "fired", "open"):
        assert found[kind] > 10, kind
    for op in ("is", "is_not", "in", "at_least", "known", "holds", "has", "has_any_of", "empty"):
        assert found[op] > 3, op


def test_shuffled_books_differ_only_in_order() -> None:
    rng = Random(9)
    book = random_book(rng)
    other = shuffled(rng, book)
    assert list(other.rules) != list(book.rules)
    assert set(other.rules) == set(book.rules)


HOUSEKEEPING = {
    "decides-nothing", "never-chosen", "never-fires", "never-written", "off-by-policy",
    "unused-conclusion", "unused-finding", "unused-policy",
}  # fmt: skip
"""What a book written by chance cannot help, and no engine minds."""


def test_careful_books_pass_every_check_that_engines_and_laws_rest_on() -> None:
    """The checks, written apart from the generator, find no circle, no hold, no direction wrong."""
    for book in BOOKS[::2]:
        assert {problem.code for problem in check_book(book)} <= HOUSEKEEPING
        assert mirror_problems(compile_book(book)) == []


def test_plain_books_differ_by_direction_only() -> None:
    codes = {problem.code for book in BOOKS[1::2] for problem in check_book(book)}
    assert "wrong-direction" in codes
    assert codes <= HOUSEKEEPING | {"wrong-direction", "lowers-otherwise"}
