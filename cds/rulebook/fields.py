"""Small typed readers of YAML nodes: each gives a value, or reports a problem and a neutral value.

Nothing here raises. `Sink` collects; whoever holds it asks at the end whether there was an error.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from cds.problems import Place, Problem
from cds.rulebook.suggest import did_you_mean
from cds.rulebook.tree import Entry, Mapping, Node, Scalar, Sequence

SNAKE = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
KEBAB = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


@dataclass
class Sink:
    """Collects problems and remembers where each id was first declared."""

    problems: list[Problem] = field(default_factory=list)
    declared: dict[tuple[str, str], Place] = field(default_factory=dict)

    def error(self, code: str, message: str, place: Place, help: str | None = None) -> None:
        """Add one problem."""
        self.problems.append(Problem(code, message, place, help=help))

    def declare(self, space: str, name: str, place: Place) -> bool:
        """Whether `name` is new in its name space; otherwise both places are reported."""
        first = self.declared.setdefault((space, name), place)
        if first is place:
            return True
        self.error(
            "duplicate-id",
            f"{space} `{name}` is declared twice, first at {first}",
            place,
            f"see {first}",
        )
        return False

    def identifier(self, name: str, pattern: re.Pattern[str], place: Place, what: str) -> bool:
        """Whether `name` has the form of its kind of id."""
        if pattern.fullmatch(name):
            return True
        form = "snake_case" if pattern is SNAKE else "kebab-case"
        self.error("bad-id", f"{what} `{name}` is not {form}", place)
        return False


def hint(word: str, known: Iterable[str]) -> str | None:
    """A "did you mean" for the help line, or None."""
    guess = did_you_mean(word, known)
    return f"did you mean `{guess}`?" if guess else None


def spoken(words: Iterable[str]) -> str:
    """A list of words for a message."""
    return ", ".join(f"`{word}`" for word in words)


def kind_of(node: Node) -> str:
    """What a node is, in an author's words."""
    if isinstance(node, Mapping):
        return "a mapping"
    if isinstance(node, Sequence):
        return "a list"
    if node.value is None:
        return "nothing"
    if isinstance(node.value, bool):
        return "true/false"
    if isinstance(node.value, date):
        return "a date"
    return "a number" if isinstance(node.value, (int, Decimal)) else "a text"


def folded(text: str) -> str:
    """Text without outer space, inner line breaks folded to one space."""
    return re.sub(r"\s*\n\s*", " ", text.strip())


def wrong(node: Node, what: str, wanted: str, sink: Sink) -> None:
    """Report that `what` is not the kind of node it should be."""
    sink.error("wrong-node", f"{what} must be {wanted}, not {kind_of(node)}", node.place)


def as_mapping(node: Node, what: str, sink: Sink, *, empty: bool = False) -> Mapping | None:
    """The node as a mapping, or None after a problem."""
    if not isinstance(node, Mapping):
        wrong(node, what, "a mapping", sink)
        return None
    if not node.entries and not empty:
        sink.error("empty-list", f"{what} has no members", node.place)
    return node


def as_items(node: Node, what: str, sink: Sink, *, empty: bool = False) -> tuple[Node, ...]:
    """The members of a list; () after a problem."""
    if not isinstance(node, Sequence):
        wrong(node, what, "a list", sink)
        return ()
    if not node.items and not empty:
        sink.error("empty-list", f"{what} has no members", node.place)
    return tuple(node.items)


def as_text(node: Node, what: str, sink: Sink) -> str:
    """Folded text; "" after a problem. A number is taken as it was written."""
    if not isinstance(node, Scalar) or node.value is None or isinstance(node.value, bool):
        wrong(node, what, "a text", sink)
        return ""
    text = folded(node.text)
    if not text:
        sink.error("wrong-node", f"{what} is an empty text", node.place)
    return text


def as_word(node: Node, what: str, sink: Sink, allowed: Iterable[str] | None = None) -> str:
    """One word, checked against `allowed` when given; "" after a problem."""
    word = as_text(node, what, sink)
    if word and allowed is not None:
        choices = tuple(allowed)
        if word not in choices:
            sink.error(
                "unknown-word",
                f"{what} cannot be `{word}`; it is one of {spoken(choices)}",
                node.place,
                hint(word, choices),
            )
            return ""
    return word


def as_words(
    node: Node,
    what: str,
    sink: Sink,
    allowed: Iterable[str] | None = None,
    *,
    empty: bool = False,
) -> tuple[str, ...]:
    """A list of different words."""
    choices = None if allowed is None else tuple(allowed)
    found: list[str] = []
    for item in as_items(node, what, sink, empty=empty):
        word = as_word(item, what, sink, choices)
        if word in found:
            sink.error("repeated-item", f"{what} lists `{word}` twice", item.place)
        elif word:
            found.append(word)
    return tuple(found)


def as_whole(node: Node, what: str, sink: Sink, low: int | None = None) -> int | None:
    """A whole number of at least `low`; None after a problem."""
    value = node.value if isinstance(node, Scalar) else None
    if not isinstance(value, int) or isinstance(value, bool):
        sink.error("bad-number", f"{what} must be a whole number", node.place)
        return None
    if low is not None and value < low:
        sink.error("bad-number", f"{what} must be at least {low}", node.place)
        return None
    return value


def as_decimal(node: Node, what: str, sink: Sink) -> Decimal | None:
    """A decimal number, exact; None after a problem."""
    number = number_of(node)
    if number is None:
        sink.error("bad-number", f"{what} must be a number", node.place)
    return number


def number_of(node: Node) -> Decimal | None:
    """The number a plain scalar is, if it is one."""
    if not isinstance(node, Scalar) or isinstance(node.value, bool):
        return None
    return Decimal(node.value) if isinstance(node.value, (int, Decimal)) else None


def as_bool(node: Node, what: str, sink: Sink) -> bool | None:
    """True or false; None after a problem."""
    if isinstance(node, Scalar) and isinstance(node.value, bool):
        return node.value
    wrong(node, what, "true or false", sink)
    return None


def as_date(node: Node, what: str, sink: Sink) -> date | None:
    """A day; None after a problem."""
    if isinstance(node, Scalar) and isinstance(node.value, date):
        return node.value
    sink.error("bad-date", f"{what} must be a day such as 2026-11-01", node.place)
    return None


def _comma(entry: Entry) -> str | None:
    """Inside braces an unquoted comma ends a text, and the rest looks like a key."""
    nothing = isinstance(entry.value, Scalar) and entry.value.value is None
    return "quote a text with a comma inside { }" if nothing and " " in entry.key else None


class Fields:
    """One mapping whose keys are known: unknown keys are reported at once, missing ones when asked.

    `what` names the thing in messages, for example "rule `old-fracture`".
    """

    def __init__(self, node: Mapping, what: str, keys: Iterable[str], sink: Sink) -> None:
        self.what = what
        self.place = node.place
        self.sink = sink
        self._entries = {entry.key: entry for entry in node.entries}
        known = tuple(keys)
        for entry in node.entries:
            if entry.key not in known:
                sink.error(
                    "unknown-key",
                    f"{what} has no key `{entry.key}`",
                    entry.key_place,
                    _comma(entry) or hint(entry.key, known) or f"known keys: {', '.join(known)}",
                )

    def __contains__(self, key: str) -> bool:
        return key in self._entries

    def key_place(self, key: str) -> Place:
        """Where the key stands, or the mapping when it is missing."""
        entry = self._entries.get(key)
        return entry.key_place if entry else self.place

    def node(self, key: str, *, required: bool = False) -> Node | None:
        """The value under a key; None when it is missing."""
        entry = self._entries.get(key)
        if entry is None:
            if required:
                self.sink.error("missing-key", f"{self.what} lacks `{key}`", self.place)
            return None
        return entry.value

    def _name(self, key: str) -> str:
        return f"`{key}` of {self.what}"

    def text(self, key: str, *, required: bool = True) -> str:
        """Folded text, "" when missing."""
        node = self.node(key, required=required)
        return "" if node is None else as_text(node, self._name(key), self.sink)

    def word(
        self, key: str, allowed: Iterable[str] | None = None, *, required: bool = True
    ) -> str | None:
        """One word of a closed list; None when missing or wrong."""
        node = self.node(key, required=required)
        return None if node is None else as_word(node, self._name(key), self.sink, allowed) or None

    def words(
        self,
        key: str,
        allowed: Iterable[str] | None = None,
        *,
        required: bool = False,
        empty: bool = False,
    ) -> tuple[str, ...]:
        """A list of different words, () when missing."""
        node = self.node(key, required=required)
        if node is None:
            return ()
        return as_words(node, self._name(key), self.sink, allowed, empty=empty)

    def texts(self, key: str, *, required: bool = False, empty: bool = False) -> tuple[str, ...]:
        """A list of texts, () when missing."""
        node = self.node(key, required=required)
        if node is None:
            return ()
        name = self._name(key)
        items = as_items(node, name, self.sink, empty=empty)
        return tuple(as_text(item, name, self.sink) for item in items)

    def flag(self, key: str, *, default: bool = False) -> bool:
        """True or false."""
        node = self.node(key)
        found = None if node is None else as_bool(node, self._name(key), self.sink)
        return default if found is None else found

    def whole(self, key: str, *, required: bool = False, low: int | None = None) -> int | None:
        """A whole number."""
        node = self.node(key, required=required)
        return None if node is None else as_whole(node, self._name(key), self.sink, low)

    def decimal(self, key: str, *, required: bool = False) -> Decimal | None:
        """An exact decimal."""
        node = self.node(key, required=required)
        return None if node is None else as_decimal(node, self._name(key), self.sink)

    def day(self, key: str, *, required: bool = False) -> date | None:
        """A date."""
        node = self.node(key, required=required)
        return None if node is None else as_date(node, self._name(key), self.sink)
