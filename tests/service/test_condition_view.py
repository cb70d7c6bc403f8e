from __future__ import annotations

from decimal import Decimal

import pytest

from cds.rulebook.conditions import Group, Leaf, Members, Source, leaves
from cds.service.condition_view import condition_json, condition_lines
from cds.vocabulary.values import Op
from tests.support.books import all_of, asks, concluded, some_of
from tests.support.shipped import shipped_service


def test_groups_and_leaves_keep_the_shape_that_authors_write() -> None:
    condition = all_of(
        asks("fever"),
        some_of(2, asks("pain", Op.AT_LEAST, by=Decimal("7.50")), concluded("radiculopathy")),
        Members(Group.NONE, (asks("level", Op.IN, "a", "b"),)),
    )
    assert condition_json(condition) == {
        "all": [
            {"finding": "fever", "is": "yes"},
            {
                "some": {
                    "at_least": 2,
                    "of": [
                        {"finding": "pain", "at_least": "7.5"},
                        {"conclusion": "radiculopathy", "holds": True},
                    ],
                }
            },
            {"none": [{"finding": "level", "in": ["a", "b"]}]},
        ]
    }


def test_an_operand_that_is_a_policy_names_it() -> None:
    leaf = Leaf(Source.FEATURE, "session_number", Op.LESS_THAN, (), Decimal(5), "earliest_thrust")
    assert condition_json(leaf) == {
        "feature": "session_number",
        "less_than": {"policy": "earliest_thrust"},
    }


def test_lines_are_indented_under_their_group() -> None:
    program = shipped_service().program
    condition = some_of(1, all_of(asks("saddle_sensation", Op.IS, "altered")))
    lines = condition_lines(program, condition)
    assert lines[:2] == ["at least 1 of:", "  all of:"]
    assert lines[2].startswith("    ")
    assert lines[2].endswith("is altered")


@pytest.mark.parametrize("name", list(shipped_service().program.rules))
def test_every_shipped_condition_has_a_line_for_each_test(name: str) -> None:
    program = shipped_service().program
    condition = program.rules[name].when
    tests = [line for line in condition_lines(program, condition) if not line.endswith(":")]
    assert len(tests) == len(list(leaves(condition)))
    assert condition_json(condition)
