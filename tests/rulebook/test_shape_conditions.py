"""Conditions read field by field; each mistake has its broken file besides."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cds.problems import Place
from cds.rulebook.book import PolicyChoice
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source
from cds.rulebook.fields import Sink
from cds.rulebook.shape_conditions import LIST_OPS, OPERATORS, TRUE_OPS, read_condition
from cds.vocabulary.values import NUMERIC_OPS, Op
from tests.rulebook.trees import node

POLICY = {
    "floor": PolicyChoice("floor", "Floor", 5, (), 1, 12, "Habit.", ()),
    "early": PolicyChoice("early", "Early", "off", ("off", "on"), None, None, "Habit.", ()),
}


def read(text: str) -> Condition | None:
    sink = Sink()
    found = read_condition(node(text), "`when`", POLICY, sink)
    assert sink.problems == []
    return found


@pytest.mark.parametrize(
    ("text", "leaf"),
    [
        ('{finding: fall, is: "yes"}', Leaf(Source.FINDING, "fall", Op.IS, ("yes",))),
        (
            "{feature: age, at_least: 70}",
            Leaf(Source.FEATURE, "age", Op.AT_LEAST, ("70",), Decimal(70)),
        ),
        (
            "{finding: temperature, less_than: 38.5}",
            Leaf(Source.FINDING, "temperature", Op.LESS_THAN, ("38.5",), Decimal("38.5")),
        ),
        (
            '{finding: side, in: ["{side}", both]}',
            Leaf(Source.FINDING, "side", Op.IN, ("{side}", "both")),
        ),
        ("{finding: fall, known: true}", Leaf(Source.FINDING, "fall", Op.KNOWN)),
        ("{conclusion: stirred, holds: true}", Leaf(Source.CONCLUSION, "stirred", Op.HOLDS)),
        ("{conclusion: cards, empty: true}", Leaf(Source.CONCLUSION, "cards", Op.EMPTY)),
        (
            "{conclusion: cards, has_any_of: [a-b, c]}",
            Leaf(Source.CONCLUSION, "cards", Op.HAS_ANY_OF, ("a-b", "c")),
        ),
        ("{policy: early, is: on}", Leaf(Source.POLICY, "early", Op.IS, ("on",))),
        (
            "{feature: session_number, at_least: {policy: floor}}",
            Leaf(Source.FEATURE, "session_number", Op.AT_LEAST, ("5",), Decimal(5), "floor"),
        ),
        (
            "{finding: x, is: {policy: early}}",
            Leaf(Source.FINDING, "x", Op.IS, ("off",), None, "early"),
        ),
        (
            "{finding: x, is: {policy: unheard_of}}",
            Leaf(Source.FINDING, "x", Op.IS, (), None, "unheard_of"),
        ),
    ],
)
def test_leaf(text: str, leaf: Leaf) -> None:
    assert read(text) == leaf


def test_groups_nest_and_keep_their_places() -> None:
    found = read(
        "all:\n"
        "  - {finding: a, is: x}\n"
        "  - some:\n"
        "      at_least: 2\n"
        "      of:\n"
        "        - {finding: b, is: x}\n"
        "        - none: [{finding: c, is: x}]\n"
    )
    assert isinstance(found, Members) and found.group is Group.ALL
    assert found.place == Place("t.yaml", 1, 1)
    some = found.members[1]
    assert isinstance(some, Members) and (some.group, some.at_least) == (Group.SOME, 2)
    assert some.place == Place("t.yaml", 3, 5)
    leaf, none = some.members
    assert isinstance(leaf, Leaf) and leaf.place == Place("t.yaml", 6, 11)
    assert isinstance(none, Members) and none.group is Group.NONE


def test_every_wrong_member_is_reported() -> None:
    sink = Sink()
    read_condition(
        node("any: [{finding: a, iss: x}, {finding: b, known: false}, just words]"),
        "`when`", {}, sink,
    )  # fmt: skip
    assert [problem.code for problem in sink.problems] == [
        "bad-operator", "known-false", "bad-condition",
    ]  # fmt: skip
    assert sink.problems[0].help == "did you mean `is`?"


def test_every_operator_has_an_operand_form_and_a_subject() -> None:
    assert frozenset().union(*OPERATORS.values()) == frozenset(Op)
    assert TRUE_OPS | LIST_OPS | NUMERIC_OPS | {Op.IS, Op.IS_NOT, Op.HAS} == frozenset(Op)
