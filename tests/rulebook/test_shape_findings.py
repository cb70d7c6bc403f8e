"""Findings and blocks read field by field."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cds.rulebook.book import Block
from cds.rulebook.conditions import Leaf, Source
from cds.rulebook.fields import Sink
from cds.rulebook.shape_findings import read_block, read_finding, read_parameter
from cds.vocabulary.model import Finding, GoodFor, Kind, Scope
from cds.vocabulary.values import Op
from tests.rulebook.trees import entry

HEAD = "  ask: How is it?\n  title: It\n"


def read(text: str) -> Finding:
    sink = Sink()
    found = read_finding(entry(text), {}, sink)
    assert sink.problems == [] and found is not None
    return found


def test_choice_with_everything() -> None:
    found = read(
        f"segment.it:\n{HEAD}  kind: choice\n  values: [left, right, both]\n  ordered: true\n"
        "  adverse: [both]\n  ask_alone: true\n  good_for: {days: 28, with: {b: episode, a: "
        "{days: 2}}}\n  voided_by: [fall]\n  ends_by: [imaging]\n  unchanged: {not_with: [leg]}\n"
        "  applies_when: {finding: fall, is: no}\n  mirror: {left: right, right: left}\n"
    )
    assert found == Finding(
        name="segment.it", kind=Kind.CHOICE, ask="How is it?", title="It", scope=Scope.SEGMENT,
        values=("left", "right", "both"), ordered=True, adverse=("both",), ask_alone=True,
        good_for=GoodFor(
            days=28, with_=(("a", GoodFor(days=2)), ("b", GoodFor(episode=True)))
        ),
        voided_by=("fall",), ends_by=("imaging",), unchanged=True, unchanged_not_with=("leg",),
        applies_when=Leaf(Source.FINDING, "fall", Op.IS, ("no",)),
        mirror=(("left", "right"), ("right", "left")),
    )  # fmt: skip
    assert found.place is not None and found.place.line == 1


def test_number() -> None:
    found = read(
        f"it:\n{HEAD}  kind: number\n  unit: Cel\n  step: 0.1\n  range: [33, 43.5]\n  adverse: up\n"
        "  unchanged: false\n"
    )
    assert (found.kind, found.unit, found.step) == (Kind.NUMBER, "Cel", Decimal("0.1"))
    assert (found.low, found.high) == (Decimal(33), Decimal("43.5"))
    assert found.adverse == ("up",) and not found.unchanged and found.good_for == GoodFor()


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("adverse: up\n  positive_from: 38.5", []),
        ("adverse: up\n  positive_from: 44", ["bad-number"]),
        ("adverse: up\n  positive_from: 38.55", ["bad-number"]),
        ("positive_from: 38.5", ["misplaced-key"]),
    ],
)
def test_a_number_may_be_a_positive(text: str, codes: list[str]) -> None:
    sink = Sink()
    head = "  kind: number\n  unit: Cel\n  step: 0.1\n  range: [33, 43.5]\n  "
    found = read_finding(entry(f"it:\n{HEAD}{head}{text}\n"), {}, sink)
    assert [problem.code for problem in sink.problems] == codes
    assert found is not None
    assert codes or found.positive_from == Decimal("38.5")


def test_presence_and_date_have_their_own_values() -> None:
    presence = read(f'it:\n{HEAD}  kind: presence\n  adverse: ["yes"]\n  block: legs\n')
    assert (presence.values, presence.adverse, presence.block) == (("no", "yes"), ("yes",), "legs")
    assert read(f"it:\n{HEAD}  kind: date\n").values == ()


@pytest.mark.parametrize(
    ("text", "period"),
    [
        ("life", GoodFor()),
        ("episode", GoodFor(episode=True)),
        ("this_session", GoodFor(this_session=True)),
        ("{months: 24}", GoodFor(months=24)),
    ],
)
def test_periods(text: str, period: GoodFor) -> None:
    assert read(f"it:\n{HEAD}  kind: presence\n  good_for: {text}\n").good_for == period


def test_all_mistakes_at_once() -> None:
    sink = Sink()
    read_finding(
        entry("it:\n  title: It\n  kind: number\n  values: [a]\n  ends_by: [luck]\n  step: 0\n"),
        {}, sink,
    )  # fmt: skip
    codes = sorted(problem.code for problem in sink.problems)
    assert codes == [
        "bad-number", "misplaced-key", "missing-key", "missing-key", "missing-key", "unknown-word",
    ]  # fmt: skip


def test_block_and_parameter() -> None:
    sink = Sink()
    assert read_block(entry("legs: {ask: Legs?, findings: [a, b]}"), sink) == Block(
        "legs", "Legs?", ("a", "b")
    )
    assert read_parameter(entry("size: 4"), ("size",), sink) == ("size", 4)
    assert sink.problems == []
    assert read_parameter(entry("sise: 4"), ("size",), sink) is None
    assert [problem.code for problem in sink.problems] == ["unknown-word"]
