"""Evidence, sources, texts, cards, exercises and the positional table, read field by field."""

from __future__ import annotations

from datetime import date

import pytest

from cds.rulebook.book import Card, Evidence, Exercise, PositionalRow, SourceEntry, Text
from cds.rulebook.fields import Sink
from cds.rulebook.shape_library import (
    Defaults,
    read_card,
    read_defaults,
    read_exercise,
    read_row,
    read_source,
    read_text,
)
from tests.rulebook.trees import entry, node

DEFAULTS = Defaults(owner="group", review_by=date(2027, 1, 1))
CARD = """
id: a-card
title: A card
rungs: [thrust]
pattern: any
position: Lying on the {other_side}
positions: [position_side_lying]
lie_on: "{other_side}"
side_bend: same
rotate: opposite
sagittal: flexion
set_up: [One., Two.]
effort: Push.
dose: {hold: 5 seconds, repetitions: 3}
feel: Give.
stop: [Pain.]
evidence: [{source: a-guide, at: 4.2, from_memory: true}]
"""
ROW = (
    "{row: 2, flexion: symmetric, neutral: left, extension: right, pattern: flexed, "
    "flexed_side: right, extended_side: null, prominent_side: null, "
    "restricted: [extension, rotation_left], facet: left, note: again}"
)


def test_card() -> None:
    sink = Sink()
    assert read_card(node(CARD), DEFAULTS, sink) == Card(
        id="a-card", title="A card", rungs=("thrust",), pattern="any",
        position="Lying on the {other_side}", positions=("position_side_lying",),
        set_up=("One.", "Two."), effort="Push.", dose=(("hold", "5 seconds"), ("repetitions", "3")),
        feel="Give.", stop=("Pain.",), evidence=(Evidence("a-guide", "4.2", from_memory=True),),
        lie_on="{other_side}", side_bend="same", rotate="opposite", sagittal="flexion",
        owner="group", review_by=date(2027, 1, 1),
    )  # fmt: skip
    assert sink.problems == []


def test_exercise() -> None:
    sink = Sink()
    text = "{id: walk, title: Walk, loads: [], how: [Walk.], dose: daily, stop: [Pain.], owner: me}"
    assert read_exercise(node(text), DEFAULTS, sink) == Exercise(
        "walk", "Walk", (), ("Walk.",), "daily", ("Pain.",), (), owner="me",
        review_by=date(2027, 1, 1),
    )  # fmt: skip
    assert sink.problems == []


def test_source_and_text() -> None:
    sink = Sink()
    source = read_source(entry("a-2020: {title: A, year: 2020, status: read, where: p 2}"), sink)
    assert source == SourceEntry("a-2020", "A", 2020, "read", "p 2")
    text = read_text(entry("say-it: {say: It., evidence: [{common_practice: so}]}"), sink)
    assert text == Text("say-it", "It.", (Evidence(common_practice="so"),))
    assert sink.problems == []


def test_row() -> None:
    sink = Sink()
    assert read_row(node(ROW), sink) == PositionalRow(
        2, "symmetric", "left", "right", "flexed", "right", None, None,
        ("extension", "rotation_left"), "left", "again",
    )  # fmt: skip
    assert sink.problems == []
    assert read_row(node(ROW.replace("row: 2", "row: 3")), sink) is None
    assert [problem.code for problem in sink.problems] == ["duplicate-id"]


def test_row_must_say_each_side() -> None:
    sink = Sink()
    read_row(node(ROW.replace("extended_side: null, ", "")), sink)
    assert [problem.code for problem in sink.problems] == ["missing-key"]


def test_defaults() -> None:
    sink = Sink()
    assert read_defaults(node("{topic: t, owner: o, approved: 2026-01-01}"), sink) == Defaults(
        "t", "o", date(2026, 1, 1), None
    )
    assert sink.problems == []


@pytest.mark.parametrize("evidence", ["[{}]", "[{source: a, common_practice: b}]", "[{at: x}]"])
def test_evidence_is_one_of_two(evidence: str) -> None:
    sink = Sink()
    read_text(entry(f"say-it: {{say: It., evidence: {evidence}}}"), sink)
    assert "missing-key" in {problem.code for problem in sink.problems}
