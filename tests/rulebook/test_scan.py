"""Which plain words are which values, and how a line is printed with its marker."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from cds.rulebook.scan import MAX_CHARACTER_PROBLEMS, Refused, decode, marked, quoted, resolve


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("true", True),
        ("false", False),
        ("", None),
        ("~", None),
        ("null", None),
        ("0", 0),
        ("-12", -12),
        ("2.50", Decimal("2.50")),
        ("-0.5", Decimal("-0.5")),
        ("2026-02-28", date(2026, 2, 28)),
    ],
)
def test_plain_words_with_a_value(text: str, value: object) -> None:
    found = resolve(text)
    assert found == value
    assert type(found) is type(value)


def test_zero_has_one_form_only() -> None:
    assert str(resolve("-0.0")) == "0.0"
    assert resolve("-0") == 0


@pytest.mark.parametrize(
    "text",
    [
        "yes",
        "no",
        "on",
        "off",
        "y",
        "n",
        "True",
        "FALSE",
        "Null",
        "NULL",
        "017",
        "0x1F",
        "0o17",
        "0b1",
        "190:20",
        "1:30",
        "1.2.3",
        "-",
        "--",
        ".",
        "+",
        "L5",
        "5a",
        "1-2",
        "2026-01-01T10:00:00Z",
        "1/2",
        "3-5",
        "١٢",
    ],
)
def test_words_stay_words(text: str) -> None:
    assert resolve(text) == text


@pytest.mark.parametrize(
    ("text", "code"),
    [
        *(
            (text, "yaml-bad-number")
            for text in ["1e3", "1.5E-3", ".5", "5.", "+5", "-.5", "+1.5", "1_000", "01.5"]
        ),
        *((text, "yaml-bad-number") for text in [".inf", "-.INF", ".nan", ".NaN"]),
        ("1" * 19, "yaml-bad-number"),
        ("1" * 5000, "yaml-bad-number"),
        ("0." + "1" * 18, "yaml-bad-number"),
        *(
            (text, "yaml-bad-date")
            for text in ["2026-02-30", "2026-13-01", "0000-01-01", "2026-1-5"]
        ),
    ],
)
def test_look_alikes_are_refused(text: str, code: str) -> None:
    found = resolve(text)
    assert isinstance(found, Refused)
    assert found.code == code


def test_the_marker_stands_under_its_column() -> None:
    assert marked("abc", 3) == ["    abc", "      ^"]
    assert marked("a\tb", 3) == ["    a   b", "        ^"]
    assert marked("中文b", 3) == ["    中文b", "        ^"]
    assert marked("e\u0301b", 3) == ["    e\u0301b", "     ^"]
    assert marked("\x1bb", 2) == ["    \\x1bb", "        ^"]
    assert marked("ab", 3) == ["    ab", "      ^"]


def test_a_long_line_is_cut_around_its_marker() -> None:
    line, marker = marked("x" * 5000 + "!" + "y" * 5000, 5001)
    assert len(line) < 180
    assert line[marker.index("^")] == "!"


def test_user_text_in_messages_is_escaped_and_cut() -> None:
    assert quoted("a\nb\u202e") == "`a\\nb\\u202e`"
    assert len(quoted("x" * 500)) == 62


def test_many_bad_characters_are_counted_not_listed() -> None:
    text, problems = decode(b"abcd" + b"\x07" * 50, "f.yaml")
    assert text is None
    assert len(problems) == MAX_CHARACTER_PROBLEMS
    assert "(and 30 more in this file)" in problems[-1].message
