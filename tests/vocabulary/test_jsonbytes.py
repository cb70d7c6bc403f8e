"""Bytes become a value, or every problem is named without repeating any of it."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.problems import CaseError
from cds.vocabulary.codes import JSON_CODES
from cds.vocabulary.jsonbytes import LARGEST, MAX_DEPTH, read_json, token

LIMIT = 4096

REFUSED = [
    ("body-too-large", b'"' + b"x" * LIMIT + b'"', None),
    ("body-not-utf8", b'{"a": "\xff"}', None),
    ("body-not-json", b"", None),
    ("body-not-json", b'{"a": "secret', None),
    ("body-not-json", b'{"a": "secret\x01"}', None),
    ("body-not-json", b'"\\secret"', None),
    ("body-not-json", b"01", None),
    ("body-not-json", b"{} {}", None),
    ("body-not-json", b"\xef\xbb\xbf{}", None),
    ("body-too-deep", b"[" * LIMIT, None),
    ("body-too-deep", b"[" * 33 + b"]" * 33, "/0" * 32),
    ("duplicate-key", b'{"a": {"b": 1, "b": 1}}', "/a/b"),
    ("number-not-finite", b'{"a": [NaN]}', "/a/0"),
    ("number-not-finite", b"-Infinity", ""),
    ("number-too-large", b"[9007199254740993]", "/0"),
    ("number-too-large", b"[-9007199254740993.5]", "/0"),
    ("number-too-large", b"1e400", ""),
    ("number-too-large", b"1e-400", ""),
    ("number-too-large", b"1e99999999999999999999999", ""),
    ("number-too-large", b"1" * 41, ""),
    ("number-too-large", b"0." + b"1" * 41, ""),
    ("lone-surrogate", b'["\\ud800"]', "/0"),
    ("lone-surrogate", b'{"a": {"\\udc00": 1}}', "/a"),
]


@pytest.mark.parametrize(("code", "data", "pointer"), REFUSED)
def test_each_code(code: str, data: bytes, pointer: str | None) -> None:
    with pytest.raises(CaseError) as caught:
        read_json(data, limit=LIMIT)
    (problem,) = caught.value.problems
    assert (problem.code, problem.pointer) == (code, pointer)
    assert "secret" not in problem.message
    assert caught.value.__cause__ is None
    assert caught.value.__suppress_context__ or caught.value.__context__ is None


def test_every_code_is_planted() -> None:
    assert {code for code, _, _ in REFUSED} == set(JSON_CODES)


def test_all_problems_at_once() -> None:
    with pytest.raises(CaseError) as caught:
        read_json(b'{"a": NaN, "b": {"c": 1, "c": 2}, "d": ["\\ud800"]}', limit=LIMIT)
    assert [(p.code, p.pointer) for p in caught.value.problems] == [
        ("number-not-finite", "/a"), ("duplicate-key", "/b/c"), ("lone-surrogate", "/d/0"),
    ]  # fmt: skip


def test_a_syntax_error_names_the_byte_not_the_letter() -> None:
    with pytest.raises(CaseError) as caught:
        read_json('["é", x]'.encode(), limit=LIMIT)
    assert caught.value.problems[0].message.endswith("byte 7")


@pytest.mark.parametrize(
    ("data", "value"),
    [
        (b"5.0", 5), (b"5", 5), (b"-0", 0), (b"-0.0", 0), (b"0e999", 0), (b"1.50e1", 15),
        (b"0.10", Decimal("0.10")), (b"-2.1", Decimal("-2.1")),
        (str(LARGEST).encode(), LARGEST), (b"9007199254740992.0", LARGEST),
        (b'"\\ud83d\\ude00"', "\U0001f600"), (b"[true, null]", [True, None]),
    ],
)  # fmt: skip
def test_numbers_and_texts(data: bytes, value: object) -> None:
    found = read_json(data, limit=LIMIT)
    assert found == value
    assert type(found) is type(value)


def test_exactly_the_deepest_nesting_is_read() -> None:
    read_json(b"[" * MAX_DEPTH + b"]" * MAX_DEPTH, limit=LIMIT)


def test_pointers_escape() -> None:
    assert token("a/b~c") + token(0) == "/a~1b~0c/0"


@given(st.binary(max_size=200))
def test_any_bytes_give_a_value_or_problems(data: bytes) -> None:
    try:
        read_json(data, limit=LIMIT)
    except CaseError as error:
        assert all(problem.code in JSON_CODES for problem in error.problems)


SCALARS = st.none() | st.booleans() | st.integers(-LARGEST, LARGEST) | st.text(max_size=9)
TREES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner),
    max_leaves=9,
)


@given(TREES)
def test_what_json_writes_is_read_back(tree: object) -> None:
    assert read_json(json.dumps(tree).encode(), limit=10**6) == tree
