"""Typed readers give the value, or a problem and a neutral value."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from cds.problems import Place
from cds.rulebook.fields import (
    KEBAB,
    SNAKE,
    Fields,
    Sink,
    as_bool,
    as_date,
    as_decimal,
    as_text,
    as_whole,
    as_word,
    as_words,
    kind_of,
)
from cds.rulebook.tree import Mapping
from tests.rulebook.trees import entry, node

TEXT = "a: one\nn: 3\nd: 0.5\nt: true\nday: 2026-11-01\nl: [x, y]\nnull_one: ~\nm: {k: v}\n"


def value(key: str):  # type: ignore[no-untyped-def]
    tree = node(TEXT)
    assert isinstance(tree, Mapping)
    return tree.get(key)


def test_good_values() -> None:
    sink = Sink()
    assert as_text(value("a"), "x", sink) == "one"
    assert as_text(value("n"), "x", sink) == "3"
    assert as_whole(value("n"), "x", sink, 1) == 3
    assert as_decimal(value("d"), "x", sink) == Decimal("0.5")
    assert as_bool(value("t"), "x", sink) is True
    assert as_date(value("day"), "x", sink) == date(2026, 11, 1)
    assert as_words(value("l"), "x", sink, ("x", "y")) == ("x", "y")
    assert sink.problems == []


@pytest.mark.parametrize(
    ("read", "key", "neutral", "code"),
    [
        (as_text, "t", "", "wrong-node"),
        (as_text, "l", "", "wrong-node"),
        (as_text, "null_one", "", "wrong-node"),
        (as_whole, "d", None, "bad-number"),
        (as_whole, "t", None, "bad-number"),
        (as_decimal, "a", None, "bad-number"),
        (as_decimal, "t", None, "bad-number"),
        (as_bool, "a", None, "wrong-node"),
        (as_date, "a", None, "bad-date"),
        (as_words, "m", (), "wrong-node"),
    ],
)
def test_wrong_values(read, key: str, neutral: object, code: str) -> None:  # type: ignore[no-untyped-def]
    sink = Sink()
    assert read(value(key), "x", sink) == neutral
    assert [problem.code for problem in sink.problems] == [code]
    assert sink.problems[0].place is not None and sink.problems[0].place.file == "t.yaml"


def test_kinds_in_words() -> None:
    said = {key: kind_of(value(key)) for key in ("a", "n", "t", "day", "l", "null_one", "m")}
    assert said == {
        "a": "a text", "n": "a number", "t": "true/false", "day": "a date", "l": "a list",
        "null_one": "nothing", "m": "a mapping",
    }  # fmt: skip


def test_word_says_what_was_meant() -> None:
    sink = Sink()
    assert as_word(entry("k: presense").value, "`kind`", sink, ("presence", "choice")) == ""
    assert sink.problems[0].help == "did you mean `presence`?"


def test_text_is_folded() -> None:
    assert as_text(entry('k: "  one\\n   two "').value, "x", Sink()) == "one two"


def test_fields_report_unknown_and_missing_keys() -> None:
    tree = node("{tilte: One, at_hand, and more}")
    assert isinstance(tree, Mapping)
    sink = Sink()
    fields = Fields(tree, "a thing", ("title",), sink)
    assert [problem.help for problem in sink.problems] == [
        "did you mean `title`?",
        "known keys: title",
        "quote a text with a comma inside { }",
    ]
    assert fields.text("title") == ""
    assert sink.problems[-1].code == "missing-key" and sink.problems[-1].place == tree.place
    before = len(sink.problems)
    assert fields.text("title", required=False) == "" and fields.whole("title") is None
    assert len(sink.problems) == before


def test_sink_remembers_where_an_id_stood() -> None:
    sink = Sink()
    first, second = Place("a.yaml", 3, 1), Place("b.yaml", 9, 1)
    assert sink.declare("rule", "one", first) and sink.declare("finding", "one", second)
    assert not sink.declare("rule", "one", second)
    problem = sink.problems[0]
    assert (problem.code, problem.place) == ("duplicate-id", second)
    assert "a.yaml:3:1" in problem.message


@pytest.mark.parametrize("name", ["a", "a_b", "l5", "x_1"])
def test_snake(name: str) -> None:
    assert SNAKE.fullmatch(name)


@pytest.mark.parametrize("name", ["A", "_a", "a_", "a__b", "1a", "a-b", "", "a.b"])
def test_not_snake(name: str) -> None:
    assert not SNAKE.fullmatch(name)


@pytest.mark.parametrize(("name", "good"), [("a-b", True), ("a-2020", True), ("a_b", False)])
def test_kebab(name: str, good: bool) -> None:
    assert bool(KEBAB.fullmatch(name)) is good
