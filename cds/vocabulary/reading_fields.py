"""Reading JSON with pointers: each helper returns what it read, or None after noting a problem.

Messages say what stands wrong and what is allowed, never the value that was sent.
"""

from __future__ import annotations

import calendar
import difflib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from cds.problems import Problem
from cds.vocabulary.jsonbytes import token

MAX_TEXT = 128
"""The longest id or text, in characters."""

MAX_ITEMS = 500
"""The most members of a list."""

_LONGEST_WORD = 80


@dataclass
class Sink:
    """Collects problems. `as_of` is the case's date as soon as it was read."""

    as_of: date
    problems: list[Problem] = field(default_factory=list)

    def error(self, code: str, message: str, pointer: str, help: str | None = None) -> None:
        """Note one problem."""
        self.problems.append(Problem(code, message, pointer=pointer, help=help))


class Fields:
    """The keys of one object. Unknown keys are noted at once; what is no object reads empty."""

    def __init__(
        self, value: object, pointer: str, what: str, keys: Collection[str], sink: Sink
    ) -> None:
        self.pointer = pointer
        self.what = what
        self.sink = sink
        self.found = as_object(value, what, pointer, sink) or {}
        for key in self.found:
            if key not in keys:
                sink.error("unknown-key", f"{what} has no such key", self.at(key), near(key, keys))

    def __contains__(self, key: str) -> bool:
        return key in self.found

    def at(self, key: str) -> str:
        """The pointer of a key."""
        return self.pointer + token(key)

    def get(self, key: str) -> object:
        """The raw value of a key that is there."""
        return self.found[key]

    def owed(self, *keys: str) -> bool:
        """Whether all keys are there; notes those that are not."""
        for key in keys:
            if key not in self.found:
                self.sink.error("missing-key", f"{self.what} needs `{key}`", self.pointer)
        return all(key in self.found for key in keys)

    def word(self, key: str, allowed: Collection[str], code: str = "wrong-value") -> str | None:
        """One of `allowed`."""
        if key not in self.found:
            return None
        what = f"`{key}` of {self.what}"
        return as_word(self.found[key], allowed, what, self.at(key), self.sink, code)

    def text(self, key: str) -> str | None:
        """An opaque id or short text."""
        if key not in self.found:
            return None
        return as_text(self.found[key], f"`{key}` of {self.what}", self.at(key), self.sink)

    def day(self, key: str) -> date | None:
        """A date that is not after the as-of date."""
        if key not in self.found:
            return None
        return as_day(self.found[key], f"`{key}` of {self.what}", self.at(key), self.sink)

    def whole(self, key: str, low: int, high: int) -> int | None:
        """A whole number, `low` to `high`."""
        if key not in self.found:
            return None
        what = f"`{key}` of {self.what}"
        return as_whole(self.found[key], low, high, what, self.at(key), self.sink)

    def items(self, key: str) -> list[tuple[object, str]] | None:
        """The members of a list, each with its pointer; None where the key is not there."""
        if key not in self.found:
            return None
        return as_items(self.found[key], f"`{key}` of {self.what}", self.at(key), self.sink)


def near(name: str, known: Iterable[str]) -> str | None:
    """`did you mean …?` for a misspelt name; None if nothing is near."""
    if len(name) > _LONGEST_WORD:
        return None
    found = difflib.get_close_matches(name, sorted(known), n=1, cutoff=0.7)
    return f"did you mean `{found[0]}`?" if found else None


def listed(words: Iterable[str]) -> str:
    """Words for a message: `a`, `b` or `c`."""
    quoted = [f"`{word}`" for word in words]
    if len(quoted) < 2:
        return "".join(quoted) or "nothing"
    return f"{', '.join(quoted[:-1])} or {quoted[-1]}"


def as_object(value: object, what: str, pointer: str, sink: Sink) -> Mapping[str, object] | None:
    """A JSON object with text keys."""
    if isinstance(value, dict) and all(isinstance(key, str) for key in value):
        return value
    sink.error("wrong-type", f"{what} must be an object", pointer)
    return None


def as_items(value: object, what: str, pointer: str, sink: Sink) -> list[tuple[object, str]]:
    """The members of a JSON list with their pointers; empty after a problem."""
    if not isinstance(value, list):
        sink.error("wrong-type", f"{what} must be a list", pointer)
        return []
    if len(value) > MAX_ITEMS:
        sink.error("too-many", f"{what} has more than {MAX_ITEMS} members", pointer)
        return []
    return [(member, pointer + token(place)) for place, member in enumerate(value)]


def as_word(
    value: object,
    allowed: Collection[str],
    what: str,
    pointer: str,
    sink: Sink,
    code: str = "wrong-value",
) -> str | None:
    """One word of a closed list."""
    if not isinstance(value, str):
        help = None
        if isinstance(value, bool) and {"yes", "no"} <= set(allowed):
            help = "write the words `yes` and `no` in quotes"
        message = f"{what} must be a text: {listed(allowed)}"
        sink.error("wrong-type", message, pointer, help)
        return None
    if value not in allowed:
        sink.error(code, f"{what} must be {listed(allowed)}", pointer, near(value, allowed))
        return None
    return value


def as_text(value: object, what: str, pointer: str, sink: Sink) -> str | None:
    """A text of 1 to `MAX_TEXT` characters without control characters."""
    if not isinstance(value, str):
        sink.error("wrong-type", f"{what} must be a text", pointer)
    elif not 0 < len(value) <= MAX_TEXT or any(ord(c) < 32 or ord(c) == 127 for c in value):
        sink.error(
            "bad-text",
            f"{what} must have 1 to {MAX_TEXT} characters and no control characters",
            pointer,
        )
    else:
        return value
    return None


def as_whole(value: object, low: int, high: int, what: str, pointer: str, sink: Sink) -> int | None:
    """A whole number within bounds."""
    number = as_number(value, what, pointer, sink)
    if number is None:
        return None
    if number != int(number):
        sink.error("bad-number", f"{what} must be a whole number", pointer)
    elif not low <= number <= high:
        sink.error("out-of-range", f"{what} must lie between {low} and {high}", pointer)
    else:
        return int(number)
    return None


def as_number(value: object, what: str, pointer: str, sink: Sink) -> Decimal | None:
    """An exact number that is not beyond 2**53."""
    if isinstance(value, float):
        # shortest text that means this float: what a person wrote
        value = Decimal(repr(value))
    if isinstance(value, bool) or not isinstance(value, (int, Decimal)):
        sink.error("wrong-type", f"{what} must be a number", pointer)
        return None
    if isinstance(value, int):
        fits = abs(value) <= 2**53
    else:
        fits = value.is_finite() and (not value or -40 <= value.adjusted() <= 15)
        fits = fits and len(value.as_tuple().digits) <= 40
    if not fits:
        sink.error("out-of-range", f"{what} has too many digits or is too large", pointer)
        return None
    return Decimal(value) if value else Decimal(0)


def as_day(value: object, what: str, pointer: str, sink: Sink) -> date | None:
    """A whole date, not after the as-of date."""
    span = as_span(value, what, pointer, sink, partial=False)
    return span[0] if span else None


def as_span(
    value: object, what: str, pointer: str, sink: Sink, *, partial: bool = True
) -> tuple[date, date] | None:
    """First and last day of a date, which may be a year or a month where `partial`.

    A span that began before the as-of date ends on it at the latest.
    """
    if not isinstance(value, str):
        sink.error("wrong-type", f"{what} must be a date in a text", pointer)
        return None
    span = parse_span(value)
    if span is None or not (partial or len(value) == 10):
        shape = "YYYY-MM-DD, YYYY-MM or YYYY" if partial else "YYYY-MM-DD"
        sink.error("bad-date", f"{what} must be a real date written {shape}", pointer)
        return None
    if span[0] > sink.as_of:
        sink.error("date-after-as-of", f"{what} lies after the as-of date", pointer)
        return None
    return span[0], min(span[1], sink.as_of)


def parse_span(text: str) -> tuple[date, date] | None:
    """First and last day of `2026`, `2026-03` or `2026-03-04`; None if it is no such date."""
    if len(text) not in (4, 7, 10) or not text.isascii():
        return None
    parts = text.split("-")
    if [len(part) for part in parts] != [4, 2, 2][: len(parts)] or not all(
        part.isdigit() for part in parts
    ):
        return None
    numbers = [int(part) for part in parts]
    year = numbers[0]
    month = numbers[1] if len(numbers) > 1 else 1
    try:
        first = date(year, month, numbers[2] if len(numbers) > 2 else 1)
    except ValueError:
        return None
    if len(numbers) == 1:
        return first, date(year, 12, 31)
    if len(numbers) == 2:
        return first, first.replace(day=calendar.monthrange(year, month)[1])
    return first, first
