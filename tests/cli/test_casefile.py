from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from cds.cli.casefile import MAX_BYTES, read_case_data
from cds.problems import CaseError

YAML = """\
# a comment
as_of: 2026-11-20
moment: before_session
answers:
  smoking: no
  pain: 4
segments: []
"""
DATA = {
    "as_of": "2026-11-20",
    "moment": "before_session",
    "answers": {"smoking": "no", "pain": 4},
    "segments": [],
}


def feed(monkeypatch: pytest.MonkeyPatch, data: bytes) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))


def test_yaml_and_json_say_the_same(tmp_path: Path) -> None:
    for name, text in (("c.yaml", YAML), ("c.json", json.dumps(DATA)), ("c", json.dumps(DATA))):
        (tmp_path / name).write_text(text, encoding="utf-8")
        assert read_case_data(str(tmp_path / name)) == DATA


@pytest.mark.parametrize("text", [YAML, json.dumps(DATA), "  \n" + json.dumps(DATA)])
def test_either_may_come_from_standard_input(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    feed(monkeypatch, text.encode())
    assert read_case_data("-") == DATA


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="none"):
        read_case_data(str(tmp_path / "none.yaml"))


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('{"a": 1, "a": 2}', "duplicate-key"),
        ('{"a": NaN}', "number-not-finite"),
        ("a: 1\na: 2\n", "yaml-duplicate-key"),
        ("a: &x 1\nb: *x\n", "yaml-alias"),
        ("a: [\n", "yaml-syntax"),
        ("", "yaml-empty"),
    ],
)
def test_what_misleads_is_refused(monkeypatch: pytest.MonkeyPatch, text: str, code: str) -> None:
    feed(monkeypatch, text.encode())
    with pytest.raises(CaseError) as caught:
        read_case_data("-")
    assert code in [problem.code for problem in caught.value.problems]


def test_a_case_has_a_largest_size(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    data = b"{}" + b" " * MAX_BYTES
    feed(monkeypatch, data)
    with pytest.raises(CaseError):
        read_case_data("-")
    (tmp_path / "c.json").write_bytes(data)
    with pytest.raises(CaseError):
        read_case_data(str(tmp_path / "c.json"))
