"""Each way to break a rule book has a tiny file of its own, with the wanted code and line.

A file under `broken/` is laid over the book in `base/` (as `zz_broken.yaml`, so it comes last) and
begins with `# expect: CODE @ LINE`, several separated by commas. The second line may say `# alone`
(no base) or `# replaces: NAME.yaml`. Exactly the expected problems must come out, no others.
What cannot be kept as a text file is made in `MADE`.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from cds.rulebook.codes import CHECKS, CODES, READING, SHAPE, Code
from cds.rulebook.vetting import vet_folder

HERE = Path(__file__).parent
BASE = HERE / "base"
BROKEN = sorted((HERE / "broken").glob("*.yaml"))
NAME = "zz_broken.yaml"
WANTED = re.compile(r"([a-z-]+) @ (\d+)")


def wanted(path: Path) -> set[tuple[str, str, int]]:
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# expect: "), f"{path.name} does not say what it expects"
    return {(code, NAME, int(line)) for code, line in WANTED.findall(first)}


def lay(path: Path, root: Path) -> None:
    second = path.read_text(encoding="utf-8").splitlines()[1:2]
    if second != ["# alone"]:
        shutil.copytree(BASE, root, dirs_exist_ok=True)
    if second and second[0].startswith("# replaces: "):
        (root / second[0].removeprefix("# replaces: ")).unlink()
    shutil.copy(path, root / NAME)


def found(root: Path) -> set[tuple[str, str, int]]:
    problems = vet_folder(root).problems
    assert all(p.place is not None for p in problems), problems
    return {(p.code, p.place.file, p.place.line) for p in problems if p.place is not None}


def test_base_has_no_problem() -> None:
    assert vet_folder(BASE).problems == ()


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_broken(path: Path, tmp_path: Path) -> None:
    expected = wanted(path)
    assert path.stem.split(".")[0] in {code for code, _, _ in expected}
    lay(path, tmp_path)
    assert found(tmp_path) == expected


def _too_large(root: Path) -> None:
    (root / NAME).write_bytes(b"language: 1\n" + b"#" * 1024 * 1024)


def _encoding(root: Path) -> None:
    (root / NAME).write_bytes(b"language: 1\ntexts: {extra-text: {say: caf\xe9}}\n")


def _unreadable(root: Path) -> None:
    (root / NAME).symlink_to(root / "nowhere.yaml")


def _link(root: Path) -> None:
    outside = root.parent / f"{root.name}-outside.yaml"
    outside.write_text("language: 1\n", encoding="utf-8")
    (root / NAME).symlink_to(outside)


MADE: dict[str, tuple[Callable[[Path], None], int]] = {
    "yaml-too-large": (_too_large, 1),
    "yaml-encoding": (_encoding, 2),
    "file-unreadable": (_unreadable, 1),
    "file-link": (_link, 1),
}


@pytest.mark.parametrize("code", MADE)
def test_made(code: str, tmp_path: Path) -> None:
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    make, line = MADE[code]
    make(tmp_path)
    assert found(tmp_path) == {(code, NAME, line)}


@pytest.mark.parametrize("stage", [READING, SHAPE, CHECKS], ids=["reading", "shape", "checks"])
def test_every_code_is_broken_once(stage: dict[str, Code]) -> None:
    shown = {code for path in BROKEN for code, _, _ in wanted(path)} | MADE.keys()
    assert sorted(stage.keys() - shown) == []
    assert shown <= CODES.keys()
