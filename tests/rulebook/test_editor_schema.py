"""The editor's schema is what the generator says, and agrees with the shape on real rule files."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from cds.rulebook.editor_schema import (
    RULES,
    SCHEMA,
    editor_schema,
    pointer_line,
    refresh,
    rule_files,
    schema_text,
)
from cds.rulebook.load import book_of, load_book
from cds.rulebook.reading import read_folder, read_text
from cds.rulebook.tree import plain

BASE = Path(__file__).parent / "base"


def as_json(value: Any) -> Any:
    """Decimals as floats and dates as texts, as an editor's own YAML reader gives them."""
    if isinstance(value, dict):
        return {key: as_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [as_json(inner) for inner in value]
    if value is None or isinstance(value, (str, int, bool)):
        return value
    return value.isoformat() if hasattr(value, "isoformat") else float(value)


def errors(validator: Draft202012Validator, path: Path) -> list[str]:
    node, problems = read_text(path.read_bytes(), path.name)
    assert node is not None and not problems
    return [f"{e.json_path}: {e.message}" for e in validator.iter_errors(as_json(plain(node)))]


@pytest.fixture(scope="module")
def shipped() -> Draft202012Validator:
    schema = editor_schema(load_book(RULES))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


def test_committed_schema_is_the_generated_one() -> None:
    wanted = schema_text(load_book(RULES))
    assert (RULES / SCHEMA).read_text(encoding="utf-8") == wanted, (
        "run `python -m cds.rulebook.editor_schema`"
    )


@pytest.mark.parametrize("name", rule_files(RULES))
def test_shipped_file_fits_and_points_at_the_schema(
    name: str, shipped: Draft202012Validator
) -> None:
    path = RULES / name
    assert errors(shipped, path) == []
    assert pointer_line(name) in path.read_text(encoding="utf-8").splitlines()
    relative = pointer_line(name).partition("$schema=")[2]
    assert (path.parent / relative).resolve() == (RULES / SCHEMA).resolve()


@pytest.mark.parametrize("name", rule_files(BASE))
def test_base_fits_its_own_schema(name: str) -> None:
    assert errors(Draft202012Validator(editor_schema(load_book(BASE))), BASE / name) == []


CAUGHT = (
    "unknown-section", "unknown-key", "missing-key", "wrong-node", "bad-number", "empty-list",
    "repeated-item", "unknown-word", "bad-condition", "bad-operator", "several-operators",
    "bad-operand.true", "known-false", "bad-write", "bad-write.hands-on", "bad-write.keyed",
    "bad-write.dotted", "bad-period", "bad-id", "language-missing", "language-unknown",
)  # fmt: skip


@pytest.mark.parametrize("stem", CAUGHT)
def test_schema_catches_while_typing(stem: str) -> None:
    validator = Draft202012Validator(editor_schema(load_book(BASE)))
    path = BASE.parent / "broken" / f"{stem}.yaml"
    assert errors(validator, path) != []


def test_refresh_points_every_file_once(tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    (tmp_path / "deep").mkdir()
    shutil.move(tmp_path / "rules.yaml", tmp_path / "deep" / "rules.yaml")
    refresh(tmp_path)
    once = {name: (tmp_path / name).read_bytes() for name in rule_files(tmp_path)}
    first = once["deep/rules.yaml"].decode().splitlines()[0]
    assert first == "# yaml-language-server: $schema=../schema/rulebook.schema.json"
    refresh(tmp_path)
    assert once == {name: (tmp_path / name).read_bytes() for name in once}
    book, problems = book_of(read_folder(tmp_path))
    assert problems == [] and book == load_book(BASE)
