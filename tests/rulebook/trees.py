"""Small rule texts as nodes, for the tests of the shape modules."""

from __future__ import annotations

from cds.rulebook.reading import read_text
from cds.rulebook.tree import Entry, Mapping, Node


def node(text: str) -> Node:
    """The tree of one YAML text, which must be readable."""
    found, problems = read_text(text.encode(), "t.yaml")
    assert found is not None and not problems, problems
    return found


def entry(text: str) -> Entry:
    """The first entry of a mapping text."""
    found = node(text)
    assert isinstance(found, Mapping)
    return found.entries[0]
