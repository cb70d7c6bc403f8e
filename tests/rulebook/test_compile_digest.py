"""The digest: places, order and spelling do not change it; every meaning does."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from datetime import date
from decimal import Decimal
from random import Random
from typing import Any

import pytest

from cds.engine.randombook import random_book, shuffled
from cds.problems import Place
from cds.rulebook.book import Book, Rule
from cds.rulebook.compile_digest import book_digest, canonical_form
from cds.rulebook.conditions import Leaf, Source
from cds.vocabulary.values import Op
from tests.support.books import asks, book, number, presence, rule


def one_rule(**changes: Any) -> Book:
    made: Rule = rule("a", asks("f"))
    return book([replace(made, **changes)], [presence("f"), number("n", "0.5")])


BASE = book_digest(one_rule())


def test_shape() -> None:
    assert BASE.startswith("sha256:")
    assert len(BASE) == len("sha256:") + 64
    json.dumps(canonical_form(one_rule()))


def test_shuffled_keys_rules_and_writes_keep_it() -> None:
    for seed in range(40):
        rng = Random(seed)
        one = random_book(rng)
        assert book_digest(shuffled(rng, one)) == book_digest(one)


def test_places_do_not_count() -> None:
    moved = asks("f")
    moved = replace(moved, place=Place("other.yaml", 9, 9))
    assert book_digest(one_rule(place=Place("a.yaml", 1, 1), when=moved)) == BASE


@pytest.mark.parametrize(
    "change",
    [
        {"title": "another"},
        {"because": "another"},
        {"owner": "another"},
        {"approved": date(2026, 1, 1)},
        {"review_by": date(2027, 1, 1)},
        {"when": asks("f", Op.IS, "no")},
        {"when": asks("f", Op.IS_NOT, "yes")},
        {"for_each": ("segment",)},
        {"evidence": ()},
        {"asymmetric": "why"},
        {"holds_said": False},
    ],
)
def test_every_meaning_of_a_rule_counts(change: dict[str, Any]) -> None:
    assert book_digest(one_rule(**change)) != BASE


def test_the_spelling_of_a_number_does_not_count_its_value_does() -> None:
    def leaf(spelt: str) -> Leaf:
        return Leaf(Source.FINDING, "n", Op.AT_LEAST, (spelt,), Decimal(spelt))

    digests = [book_digest(one_rule(when=leaf(s))) for s in ("5", "5.0", "5.00", "50e-1")]
    assert len(set(digests)) == 1
    assert book_digest(one_rule(when=leaf("5.5"))) != digests[0]


def test_a_word_that_looks_like_a_number_stays_a_word() -> None:
    def leaf(spelt: str) -> Leaf:
        return Leaf(Source.FINDING, "f", Op.IS, (spelt,), Decimal(spelt))

    assert book_digest(one_rule(when=leaf("5"))) != book_digest(one_rule(when=leaf("5.0")))


def test_every_field_of_the_book_is_in_it() -> None:
    assert set(canonical_form(one_rule())) == {field.name for field in fields(Book)}


def test_no_place_is_in_it() -> None:
    def places(value: Any) -> bool:
        if isinstance(value, dict):
            return "place" in value or any(places(v) for v in value.values())
        return isinstance(value, list) and any(places(v) for v in value)

    assert not places(canonical_form(random_book(Random(1))))
