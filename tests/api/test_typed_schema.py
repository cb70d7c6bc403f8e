from __future__ import annotations

from typing import Any, NotRequired, TypedDict

import jsonschema
import pytest

from cds.api.typed_schema import components, reference


class Leaf(TypedDict):
    """A leaf,
    in two lines."""

    text: str


class Tree(TypedDict):
    """A tree."""

    number: int | None
    flag: bool
    leaves: list[Leaf]
    by_name: dict[str, Leaf]
    words: NotRequired[dict[str, str]]
    anything: NotRequired[Any]
    parent: NotRequired[Tree]


def valid(value: object) -> bool:
    schema = {"components": {"schemas": components(Tree)}, **reference(Tree)}
    return jsonschema.Draft202012Validator(schema).is_valid(value)


GOOD = {"number": 1, "flag": True, "leaves": [{"text": "x"}], "by_name": {"a": {"text": "y"}}}


def test_all_that_is_reached_is_described() -> None:
    found = components(Tree)
    assert list(found) == ["Leaf", "Tree"]
    assert found["Leaf"]["description"] == "A leaf, in two lines."
    assert found["Tree"]["required"] == ["number", "flag", "leaves", "by_name"]
    assert valid(GOOD)
    assert valid({**GOOD, "number": None, "parent": GOOD, "anything": [1], "words": {"a": "b"}})


@pytest.mark.parametrize(
    "change",
    [
        {"more": 1},
        {"number": "1"},
        {"leaves": [{}]},
        {"leaves": [{"text": "x", "more": 1}]},
        {"by_name": {"a": 1}},
        {"words": {"a": 1}},
        {"parent": {}},
    ],
)
def test_a_schema_is_closed_and_typed(change: dict[str, object]) -> None:
    assert not valid({**GOOD, **change})


def test_a_required_member_is_required() -> None:
    assert not valid({key: value for key, value in GOOD.items() if key != "flag"})


def test_what_is_no_json_is_refused() -> None:
    class Odd(TypedDict):
        """Odd."""

        value: bytes

    with pytest.raises(TypeError):
        components(Odd)


def test_two_of_one_name_are_refused() -> None:
    other = TypedDict("Leaf", {"text": int})  # noqa: UP013 (a second class of that name)
    with pytest.raises(ValueError, match="Leaf"):
        components(Leaf, other)
