"""Canonical JSON against RFC 8785: its published vectors, and an independent implementation."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from cds.canon import canonical, digest
from tests.support.optional import external

VECTORS = ("arrays", "french", "structures", "unicode", "values", "weird")
ASCII = st.text(st.characters(max_codepoint=127))
WHOLE = st.integers(min_value=-(2**53) + 1, max_value=2**53 - 1)
# Lone surrogates are no Unicode text: JSON in UTF-8 cannot hold them.
TEXT = st.text(st.characters(exclude_categories=["Cs"]))
VALUES = st.recursive(
    st.none() | st.booleans() | WHOLE | TEXT,
    lambda inner: st.lists(inner) | st.dictionaries(ASCII, inner),
    max_leaves=30,
)


def within_reach(value: Any) -> bool:
    """No floats, only ASCII keys: the part of RFC 8785 that `canonical` covers."""
    if isinstance(value, dict):
        return all(key.isascii() and within_reach(inner) for key, inner in value.items())
    if isinstance(value, list):
        return all(map(within_reach, value))
    return not isinstance(value, float)


def vector(folder: Path, name: str) -> tuple[Any, bytes]:
    given_value = json.loads((folder / "input" / f"{name}.json").read_bytes())
    return given_value, (folder / "output" / f"{name}.json").read_bytes().rstrip(b"\n")


@pytest.mark.parametrize("name", VECTORS)
def test_published_vectors(name: str) -> None:
    value, wanted = vector(external("crypto", "jcs"), name)
    if within_reach(value):
        assert canonical(value) == wanted
    else:
        with pytest.raises(TypeError):
            canonical(value)


def test_some_published_vectors_are_within_reach() -> None:
    folder = external("crypto", "jcs")
    reached = [name for name in VECTORS if within_reach(vector(folder, name)[0])]
    assert len(reached) >= 2, "the vectors would only test refusals"


@given(VALUES)
def test_equals_an_independent_implementation(value: Any) -> None:
    assert canonical(value) == rfc8785.dumps(value)


@given(VALUES)
def test_reading_it_back_gives_the_value(value: Any) -> None:
    assert json.loads(canonical(value)) == value


@pytest.mark.parametrize(
    "value",
    [
        1.5,
        1.0,
        float("nan"),
        {"a": [1, {"b": 0.1}]},
        2**53,
        -(2**53),
        {"é": 1},
        {1: "a"},
        {"a": {1, 2}},
        "\ud800",
    ],
)
def test_refuses_what_it_cannot_write_the_one_way(value: Any) -> None:
    with pytest.raises(TypeError):
        canonical(value)


def test_the_largest_whole_numbers_are_taken() -> None:
    assert canonical([2**53 - 1, -(2**53) + 1]) == b"[9007199254740991,-9007199254740991]"


def test_truth_values_are_not_numbers() -> None:
    assert canonical([True, 1, False, 0]) == b"[true,1,false,0]"


def test_digest_does_not_depend_on_key_order() -> None:
    assert digest({"b": 1, "a": [2, None]}) == digest({"a": [2, None], "b": 1})


def test_digest_names_its_method() -> None:
    assert digest({}) == "sha256:" + hashlib.sha256(b"{}").hexdigest()
