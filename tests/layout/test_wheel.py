"""The built wheel carries the rule book and works alone, far from the checkout."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

from cds import __version__
from tests.support.optional import ROOT

pytestmark = pytest.mark.long

# The least a case may hold: its date and moment. Everything else is unknown.
EMPTY_CASE = {"as_of": "2026-11-20", "moment": "before_session"}


def run(*command: str | Path, folder: Path, text: str = "") -> subprocess.CompletedProcess[str]:
    clean = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("FEATHEREDGE_", "PYTHON", "VIRTUAL_ENV"))
    }
    return subprocess.run(
        [str(part) for part in command],
        input=text,
        cwd=folder,
        env=clean,
        capture_output=True,
        text=True,
        check=False,
    )


def succeed(*command: str | Path, folder: Path, text: str = "") -> str:
    ran = run(*command, folder=folder, text=text)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    build = (sys.executable, "-m", "hatchling", "build", "--target", "wheel")
    succeed(*build, "--directory", folder, folder=ROOT)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def home(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment with the wheel; other libraries come from the one that runs the tests."""
    folder = tmp_path_factory.mktemp("elsewhere")
    succeed(sys.executable, "-m", "venv", "--without-pip", folder / "venv", folder=folder)
    python = folder / "venv/bin/python"
    pip = (sys.executable, "-m", "pip", "--python", python, "install", "--quiet")
    succeed(*pip, "--no-deps", "--no-index", wheel, folder=folder)
    inside = succeed(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))",
                     folder=folder).strip()  # fmt: skip
    # A path file adds its folders at the end, and does not follow the path files in them: the
    # checkout, installed there for development, stays out of sight.
    (Path(inside) / "libraries.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return folder


def test_the_wheel_carries_code_rules_licence_and_command(wheel: Path) -> None:
    assert wheel.name == f"featheredge-{__version__}-py3-none-any.whl"
    names = set(zipfile.ZipFile(wheel).namelist())
    rules = {
        "cds/_rules/" + path.relative_to(ROOT / "rules").as_posix()
        for path in (ROOT / "rules").rglob("*")
        if path.is_file()
    }
    code = {path.relative_to(ROOT).as_posix() for path in (ROOT / "cds").rglob("*.py")}
    assert rules
    assert rules | code <= names
    fixtures = {
        f"cds/_fixtures/{part}/{path.name}"
        for part in ("cases", "edges", "published")
        for path in (ROOT / "fixtures" / part).glob("*.yaml")
    }
    assert fixtures and fixtures <= names
    pages = {p.relative_to(ROOT).as_posix() for p in (ROOT / "cds/web").glob("*/*.*")}
    assert {page for page in pages if not page.endswith(".pyc")} <= names
    info = f"featheredge-{__version__}.dist-info"
    assert {f"{info}/entry_points.txt", f"{info}/licenses/LICENSE"} <= names
    assert {name.partition("/")[0] for name in names} == {"cds", info}


def test_the_installed_package_is_the_wheel(home: Path) -> None:
    where = "import cds.settings as s; print(s.PACKAGE); print(s.find_rules())"
    package, rules = succeed(home / "venv/bin/python", "-c", where, folder=home).split()
    assert Path(package).is_relative_to(home / "venv")
    assert Path(rules) == Path(package) / "_rules"


def test_the_packaged_rule_book_passes_its_checks(home: Path) -> None:
    succeed(home / "venv/bin/featheredge", "vet", folder=home)


def test_the_wheel_advises_on_an_empty_case(home: Path) -> None:
    command = (home / "venv/bin/featheredge", "advise", "-", "--json")
    ran = run(*command, folder=home, text=json.dumps(EMPTY_CASE))
    assert ran.stdout, ran.stderr
    assert "ask_first" in json.dumps(json.loads(ran.stdout))
    assert "Traceback" not in ran.stderr
