"""Case files for the command line: YAML or JSON from a file, or either from standard input (`-`).

YAML is a superset of JSON as far as a case needs it, so that a hand-written case can have comments.
Problems carry a place (YAML) or a JSON pointer; a value of the case is never repeated in them.
"""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from cds.problems import CaseError, Problem, has_errors
from cds.rulebook.reading import read_text
from cds.rulebook.tree import plain
from cds.vocabulary.jsonbytes import read_json

MAX_BYTES = 262_144
"""As at the HTTP door: 256 KiB."""


def read_case_data(name: str) -> object:
    """The plain data of a case file. Raises `OSError` or `CaseError`.

    The body of an HTTP request (`{"case": …}`) is taken too, so that one file serves both doors.
    """
    data = _read(name)
    if isinstance(data, dict) and "case" in data and set(data) <= {"case", "draft"}:
        return data["case"]
    return data


def _read(name: str) -> object:
    data = sys.stdin.buffer.read(MAX_BYTES + 1) if name == "-" else Path(name).read_bytes()
    if len(data) > MAX_BYTES:
        raise CaseError([Problem("too-large", f"a case has at most {MAX_BYTES} bytes", pointer="")])
    start = data.lstrip()[:1]
    if name.endswith(".json") or start in (b"{", b"["):
        return read_json(data, limit=MAX_BYTES)
    node, problems = read_text(data, "standard input" if name == "-" else Path(name).name)
    if node is None or has_errors(problems):
        raise CaseError(problems)
    return _json_like(plain(node))


def _json_like(value: object) -> object:
    """Dates as the text JSON would carry."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return {key: _json_like(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_json_like(inner) for inner in value]
    return value
