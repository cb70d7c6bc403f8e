"""The list of codes and the codes in the readers are the same."""

from __future__ import annotations

import ast
from pathlib import Path

from cds.vocabulary import codes, jsonbytes

HERE = Path(jsonbytes.__file__).parent
READERS = ("jsonbytes", "reading", "reading_fields", "reading_values", "reading_parts")


def test_every_code_is_used_and_every_used_code_is_listed() -> None:
    texts = {
        node.value
        for name in READERS
        for node in ast.walk(ast.parse((HERE / f"{name}.py").read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    assert set(codes.CODES) <= texts
    # every word with a hyphen that an `error(` call passes first is a listed code
    passed = {
        node.args[0].value
        for name in READERS
        for node in ast.walk(ast.parse((HERE / f"{name}.py").read_text("utf-8")))
        if isinstance(node, ast.Call)
        and getattr(node.func, "attr", getattr(node.func, "id", "")) in ("error", "Problem")
        and node.args
        and isinstance(node.args[0], ast.Constant)
    }
    assert passed
    assert passed <= set(codes.CODES)


def test_meanings_are_sentences() -> None:
    assert all(said.endswith(".") and said[0].isupper() for said in codes.CODES.values())
    assert not set(codes.JSON_CODES) & set(codes.CASE_CODES)
