"""The list of codes and the authors' guide say the same, in the same order."""

from __future__ import annotations

import re
from pathlib import Path

from cds.rulebook.check_codes import WARNINGS
from cds.rulebook.codes import CHECKS, CODES, READING, SHAPE

GUIDE = Path("rules/README.md")


def section() -> str:
    return GUIDE.read_text(encoding="utf-8").partition("## Problem codes")[2]


def test_guide_lists_exactly_the_codes() -> None:
    rows = re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", section(), re.MULTILINE)
    assert rows == [(code, said.meaning) for code, said in CODES.items()]


def test_guide_names_the_warnings() -> None:
    words = section().partition("|")[0]
    assert set(re.findall(r"`([a-z-]+)`", words)) == WARNINGS


def test_no_code_in_two_stages() -> None:
    assert len(CODES) == len(READING) + len(SHAPE) + len(CHECKS)


def test_every_code_used_in_the_source_is_listed() -> None:
    said: set[str] = set()
    for path in Path("cds/rulebook").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        said |= set(
            re.findall(r'(?:\berror|\bProblem|\btell|\bproblem)\(\s*"([a-z]+-[a-z-]+)"', text)
        )
    assert len(said) > 40
    assert sorted(said - CODES.keys()) == []


def test_every_code_says_what_to_do() -> None:
    for code, said in CODES.items():
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", code)
        assert said.meaning.endswith(".") and said.help.endswith("."), code
        assert "|" not in said.meaning, code
