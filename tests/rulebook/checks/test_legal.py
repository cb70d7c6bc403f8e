"""Beside each planted mistake stands the nearest legal book: the check must let it pass.

A file under `legal/` has the name of its broken neighbour and differs from it in a few lines only.
Laid over the base like the broken one, it must give no problem at all, not even a warning.
"""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest

from cds.rulebook.check_codes import CHECK_CODES
from cds.rulebook.vetting import vet_folder
from tests.rulebook.test_broken import lay

HERE = Path(__file__).parent
LEGAL = sorted((HERE / "legal").glob("*.yaml"))
BROKEN = HERE.parent / "broken"


@pytest.mark.parametrize("path", LEGAL, ids=lambda path: path.stem)
def test_legal(path: Path, tmp_path: Path) -> None:
    lay(path, tmp_path)
    assert [str(problem) for problem in vet_folder(tmp_path).problems] == []


@pytest.mark.parametrize("path", LEGAL, ids=lambda path: path.stem)
def test_near(path: Path) -> None:
    broken = (BROKEN / path.name).read_text(encoding="utf-8").splitlines()[1:]
    legal = path.read_text(encoding="utf-8").splitlines()[1:]
    changed = [line for line in difflib.ndiff(broken, legal) if line.startswith(("+ ", "- "))]
    assert 0 < len(changed) <= 6


def test_each_code_has_a_legal_neighbour() -> None:
    assert sorted(CHECK_CODES) == [path.stem for path in LEGAL]
