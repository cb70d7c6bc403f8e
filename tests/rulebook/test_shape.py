"""The base book as a whole, and what the order of files and keys may not change."""

from __future__ import annotations

import random
from dataclasses import fields
from pathlib import Path

from cds.rulebook.book import Book, Write
from cds.rulebook.conditions import Leaf, leaves
from cds.rulebook.load import load_book
from cds.rulebook.reading import read_folder
from cds.rulebook.shape import SECTIONS, shape_book
from cds.rulebook.tree import Mapping, Node, Sequence
from cds.vocabulary.computed import FEATURES
from cds.vocabulary.core import CORE_NAMES
from cds.vocabulary.model import Kind
from tests.rulebook.trees import node

BASE = Path(__file__).parent / "base"
BOOK = load_book(BASE)


def test_the_whole_base_book() -> None:
    assert BOOK.language == 1 and BOOK.title == "Small book"
    assert BOOK.scope_notice[1] == "Nothing in this book is clinical advice."
    assert BOOK.parameters["gap_days"] == 21 and BOOK.parameters["settle_hours"] == 48
    assert list(BOOK.destinations) == ["emergency_department", "general_practice"]
    assert BOOK.concerns["fracture"] == "Vertebral fracture"
    assert BOOK.features == FEATURES
    assert set(BOOK.conclusions) == {*CORE_NAMES, "irritable", "provoked", "stage"}
    assert {finding.kind for finding in BOOK.findings.values()} == set(Kind) - {Kind.DATE}
    assert len(BOOK.positional) == 27 and BOOK.positional[26].pattern == "group_if_three"
    assert list(BOOK.cards) == ["flexed-side-lying"] and list(BOOK.exercises) == ["press-up"]
    assert BOOK.exercises["press-up"].owner == "exercise-group"


def test_one_rule_of_it() -> None:
    rule = BOOK.rules["cauda-equina"]
    assert rule.because == "Outside the scope of hands-on care."
    assert rule.owner == "red-flag-group" and rule.topic == "small"
    assert rule.holds == tuple(
        Write("limit", "barred", family) for family in ("muscle_energy", "mobilization", "thrust")
    )
    assert [leaf.name for leaf in leaves(rule.when)] == [
        "saddle_sensation", "leg_symptoms", "leg_power",
    ]  # fmt: skip


def test_policy_stands_in_the_leaf() -> None:
    leaf = next(leaves(BOOK.rules["thrust-late"].when))
    assert isinstance(leaf, Leaf)
    assert (leaf.policy, leaf.words, str(leaf.number)) == ("earliest_thrust_session", ("5",), "5")


def test_everything_declared_keeps_its_place() -> None:
    for part in ("findings", "policy", "blocks", "rules", "cards", "exercises", "texts", "sources"):
        for thing in getattr(BOOK, part).values():
            assert thing.place is not None and thing.place.file.endswith(".yaml")
    assert all(row.place is not None for row in BOOK.positional)
    assert all(
        c.place is not None for name, c in BOOK.conclusions.items() if name not in CORE_NAMES
    )


def _shuffled(tree: Node, chance: random.Random, ladder: bool = False) -> Node:
    """Keys in another order, but for the ladder, and rules and rows in another order."""
    if isinstance(tree, Mapping):
        entries = [
            type(entry)(
                entry.key, entry.key_place,
                _shuffled(entry.value, chance, ladder or entry.key == "ladder"),
            )
            for entry in tree.entries
        ]  # fmt: skip
        if not ladder:
            chance.shuffle(entries)
        return Mapping(tree.place, tuple(entries))
    if isinstance(tree, Sequence):
        items = [_shuffled(item, chance, ladder) for item in tree.items]
        return Sequence(tree.place, tuple(items))
    return tree


def _same(one: Book, other: Book) -> bool:
    """Equal, and every mapping in the same order."""
    parts = [(getattr(one, f.name), getattr(other, f.name)) for f in fields(Book)]
    return all(
        list(a) == list(b) for a, b in parts if isinstance(a, dict) and isinstance(b, dict)
    ) and all(
        a.keys() == b.keys() if f.name in ("rules", "cards") else a == b
        for f, (a, b) in zip(fields(Book), parts, strict=True)
        if f.name != "language"
    )


def test_order_of_files_and_keys_has_no_meaning() -> None:
    files = read_folder(BASE).files
    for seed in range(20):
        chance = random.Random(seed)
        renamed = [f"{chance.random()}.yaml" for _ in files]
        trees = {
            name: _shuffled(tree, chance)
            for name, tree in zip(renamed, files.values(), strict=True)
        }
        book, problems = shape_book(trees)
        assert problems == [] and book is not None
        assert _same(book, BOOK)
        for name, rule in book.rules.items():
            assert sorted(map(repr, _bare(rule.then))) == sorted(
                map(repr, _bare(BOOK.rules[name].then))
            )
            assert rule.when == BOOK.rules[name].when


def _bare(writes: tuple[Write, ...]) -> list[tuple[str, str | None, str, str]]:
    return [(write.conclusion, write.key, write.reach, write.value) for write in writes]


def test_sections_may_be_split_over_files() -> None:
    files = dict(read_folder(BASE).files)
    files["more.yaml"] = node(
        "language: 1\nfindings: {extra: {ask: More?, title: Extra, kind: date}}\n"
        "destinations: {a_clinic: A clinic}\n"
    )
    book, problems = shape_book(files)
    assert problems == [] and book is not None
    assert book.findings["extra"].kind is Kind.DATE
    assert book.conclusions["referral"].keys == (
        "a_clinic", "emergency_department", "general_practice",
    )  # fmt: skip


def test_defaults_reach_only_their_own_file() -> None:
    files = dict(read_folder(BASE).files)
    files["more.yaml"] = node(
        "language: 1\nrules:\n  - {id: bare, title: T, when: {finding: fall, is: x}, "
        "then: {irritable: true}, because: B}\n"
    )
    book, problems = shape_book(files)
    assert problems == [] and book is not None
    assert (book.rules["bare"].owner, book.rules["bare"].review_by) == ("", None)


def test_no_book_with_a_problem_and_all_problems_at_once() -> None:
    files = dict(read_folder(BASE).files)
    files["more.yaml"] = node("language: 1\nfindigns: {}\nparameters: {pain_rise: 0}\nrules: []\n")
    book, problems = shape_book(files)
    assert book is None
    assert [problem.code for problem in problems] == ["unknown-section", "bad-number", "empty-list"]
    assert problems[0].help == "did you mean `findings`?"


def test_empty_book_lacks_its_sections() -> None:
    book, problems = shape_book({})
    assert book is None
    assert [problem.code for problem in problems] == ["missing-section", "missing-section"]


def test_every_section_is_used_in_the_base() -> None:
    used: set[str] = set()
    for tree in read_folder(BASE).files.values():
        assert isinstance(tree, Mapping)
        used |= set(tree.keys())
    assert used == set(SECTIONS)
