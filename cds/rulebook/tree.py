"""The tree of a rule file: scalars, sequences and mappings that know their place.

The nodes are plain frozen values. They hold no YAML notions beyond what a checker needs: the
resolved value, the text as written, and whether it was quoted.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeAlias

from cds.problems import Place

Value: TypeAlias = str | int | Decimal | bool | date | None
Plain: TypeAlias = "Value | list[Plain] | dict[str, Plain]"


@dataclass(frozen=True, slots=True)
class Scalar:
    """One value. `text` is what the author wrote, without quotes, escapes and folding undone.

    `quoted` is true for every style but plain: quoted and block (`|`, `>`) scalars are always
    strings.
    """

    place: Place
    value: Value
    text: str
    quoted: bool


@dataclass(frozen=True, slots=True)
class Sequence:
    """An ordered list of nodes. The place is its `[`, or its first `-`."""

    place: Place
    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One key with its value. `key_place` is where the key starts; the value has its own place."""

    key: str
    key_place: Place
    value: Node

    @property
    def place(self) -> Place:
        """Where the entry starts: the place of its key."""
        return self.key_place


@dataclass(frozen=True, slots=True)
class Mapping:
    """Entries in the order of the file, each key once. The place is its `{`, or its first key."""

    place: Place
    entries: tuple[Entry, ...]

    def entry(self, key: str) -> Entry | None:
        """The entry of `key`, or None."""
        for entry in self.entries:
            if entry.key == key:
                return entry
        return None

    def get(self, key: str) -> Node | None:
        """The node of `key`, or None when the key is not there (a written null is a Scalar)."""
        found = self.entry(key)
        return None if found is None else found.value

    def keys(self) -> tuple[str, ...]:
        """All keys in the order of the file."""
        return tuple(entry.key for entry in self.entries)


Node: TypeAlias = Scalar | Sequence | Mapping


def plain(node: Node) -> Plain:
    """The node as plain Python values: dict, list, and the values of scalars. Places are lost.

    Recursion is bounded: the reader refuses nesting over 20.
    """
    if isinstance(node, Scalar):
        return node.value
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {entry.key: plain(entry.value) for entry in node.entries}
