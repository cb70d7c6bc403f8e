"""The nodes: look-up by key, and plain values."""

from __future__ import annotations

from cds.problems import Place
from cds.rulebook.tree import Entry, Mapping, Scalar, Sequence, plain

AT = Place("f.yaml", 1, 1)
ONE = Scalar(AT, 1, "1", quoted=False)
NOTHING = Scalar(AT, None, "", quoted=False)
TREE = Mapping(AT, (Entry("b", Place("f.yaml", 1, 3), ONE), Entry("a", AT, NOTHING)))


def test_a_mapping_finds_its_entries_and_keeps_their_order() -> None:
    assert TREE.keys() == ("b", "a")
    assert TREE.get("b") is ONE
    entry = TREE.entry("b")
    assert entry is not None
    assert entry.place == Place("f.yaml", 1, 3)


def test_a_missing_key_differs_from_a_written_null() -> None:
    assert TREE.get("c") is None
    assert TREE.get("a") is NOTHING


def test_plain_gives_python_values() -> None:
    assert plain(Sequence(AT, (TREE, ONE))) == [{"b": 1, "a": None}, 1]
