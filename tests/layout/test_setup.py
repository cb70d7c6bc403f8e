"""What a person meets first: `make`, and setting up on a machine that lacks something."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.support.optional import ROOT

MAKEFILE = (ROOT / "Makefile").read_text(encoding="utf-8")
PHONY = re.findall(r"^\.PHONY: (\S+)$", MAKEFILE, re.MULTILINE)


def stand_in(folder: Path, version: str, *, fits: bool, has_venv: bool) -> str:
    """A program that answers set-up's questions as an interpreter of that kind would."""
    path = folder / f"python-{version}"
    path.write_text(
        "#!/bin/sh\n"
        'case "$2" in\n'
        f"  *python_version*) echo {version};;\n"
        f"  *version_info*) exit {int(not fits)};;\n"
        f"  *ensurepip*) exit {int(not has_venv)};;\n"
        f'  *) echo "used: $*"; touch {folder}/used; exit 7;;\n'
        "esac\n",
        encoding="utf-8",
    )
    path.chmod(0o755)
    return str(path)


def set_up(folder: Path, *pythons: str) -> subprocess.CompletedProcess[str]:
    (folder / "tools").mkdir()
    shutil.copy(ROOT / "tools/setup.sh", folder / "tools")
    return subprocess.run(
        ["sh", str(folder / "tools/setup.sh")],
        env=os.environ | {"PYTHON": " ".join(pythons)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_an_old_python_is_refused_and_named(tmp_path: Path) -> None:
    ran = set_up(tmp_path, stand_in(tmp_path, "3.10.1", fits=False, has_venv=True))
    assert ran.returncode != 0
    assert "Python 3.11 or newer is needed" in ran.stderr
    assert "3.10.1" in ran.stderr
    assert not (tmp_path / ".venv").exists()


def test_no_python_at_all_is_said(tmp_path: Path) -> None:
    ran = set_up(tmp_path, "no-such-python")
    assert ran.returncode != 0
    assert "found: none" in ran.stderr


def test_a_python_without_environments_says_what_to_install(tmp_path: Path) -> None:
    ran = set_up(tmp_path, stand_in(tmp_path, "3.11.2", fits=True, has_venv=False))
    assert ran.returncode != 0
    assert "apt-get install python3-venv" in ran.stderr


def test_the_first_python_that_fits_is_used(tmp_path: Path) -> None:
    old = stand_in(tmp_path, "3.10.1", fits=False, has_venv=True)
    bare = stand_in(tmp_path, "3.11.2", fits=True, has_venv=False)
    good = stand_in(tmp_path, "3.12.3", fits=True, has_venv=True)
    ran = set_up(tmp_path, "no-such-python", old, bare, good)
    assert ran.returncode == 7
    assert f"creating .venv with {good}" in ran.stdout
    assert "used: -m venv" in ran.stdout


@pytest.mark.parametrize("target", PHONY)
def test_every_target_says_what_it_does(target: str) -> None:
    assert re.search(rf"^{target}:.* ## [A-Z]", MAKEFILE, re.MULTILINE)


def test_make_alone_lists_the_targets() -> None:
    shown = subprocess.run(["make"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert re.findall(r"^  make (\S+)", shown, re.MULTILINE) == PHONY


def test_the_scripts_parse() -> None:
    for shell, script in (("bash", ".ci/run"), ("sh", "tools/setup.sh")):
        assert os.access(ROOT / script, os.X_OK)
        subprocess.run([shell, "-n", str(ROOT / script)], check=True)
