"""The digest of a rule book: one number for everything that has meaning, and for nothing else.

Comments, key order, file names and places are not meaning, nor is the spelling of a number (`5`,
`5.0`). Every word a person may read is, and so is the order of lists (`compile_normal` says which
order has none).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from typing import Any

from cds.canon import digest
from cds.rulebook.book import Book
from cds.rulebook.compile_normal import normal_book
from cds.rulebook.conditions import Leaf, Source


def book_digest(book: Book) -> str:
    """`sha256:…` over the canonical form of the book."""
    return digest(canonical_form(book))


def canonical_form(book: Book) -> dict[str, Any]:
    """The book as JSON values: decimals as strings, dates as ISO, everything with an id by id."""
    book = normal_book(book)
    numeric = {
        name for name, entry in (*book.findings.items(), *book.features.items()) if entry.numeric
    }
    return {
        field.name: _by_id(getattr(book, field.name), numeric)
        if isinstance(getattr(book, field.name), Mapping)
        else _plain(getattr(book, field.name), numeric)
        for field in fields(book)
    }


def _by_id(entries: Mapping[str, Any], numeric: set[str]) -> dict[str, Any]:
    return {key: _plain(value, numeric) for key, value in entries.items()}


def _plain(value: Any, numeric: set[str]) -> Any:
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, (bool, int, str)):
        return value
    if isinstance(value, Decimal):
        return _spelt(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (tuple, list)):
        return [_plain(item, numeric) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        plain = {
            field.name: _plain(getattr(value, field.name), numeric)
            for field in fields(value)
            if field.name != "place"
        }
        if isinstance(value, Leaf):
            _one_operand(value, plain, numeric)
        return plain
    raise TypeError(f"a rule book holds no {type(value).__name__}")


def _one_operand(leaf: Leaf, plain: dict[str, Any], numeric: set[str]) -> None:
    """An operand is kept as word and as number; only the one its subject reads has meaning."""
    if leaf.number is None or leaf.source is Source.POLICY:
        return
    if leaf.name in numeric and leaf.source is not Source.CONCLUSION:
        plain["words"] = []
    else:
        plain["number"] = None


def _spelt(number: Decimal) -> str:
    """One spelling per number: no exponent, no trailing zeros, no minus before zero."""
    text = format(number, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
