"""What may import what: layers, doors to other libraries, and imports without side effects."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from fnmatch import fnmatch
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from tests.support.optional import ROOT
from tests.support.tree import dotted, imported, modules

# Library -> the only files that may import it. Everything behind a door can be exchanged there.
DOORS: dict[str, tuple[str, ...]] = {
    "durable": ("cds/engine/durable*.py",),
    "yaml": ("cds/rulebook/reading.py",),
    "z3": ("cds/assure/*",),
    "clips": ("cds/assure/*",),
    "fastapi": ("cds/api/*", "cds/web/*"),
    "starlette": ("cds/api/*", "cds/web/*"),
    "uvicorn": ("cds/api/*", "cds/cli/*"),
    "rich": ("cds/cli/*",),
    "structlog": ("cds/service/*", "cds/api/*", "cds/web/*", "cds/cli/*"),
    "sqlalchemy": ("cds/ledger/*",),
}
OPTIONAL = ("durable", "z3", "clips")
# Deciding is pure: no clock, no input or output, no chance. (`datetime` is needed for dates; that
# nothing asks it for today is a rule of the style check, DTZ.)
PURE = ("cds/vocabulary/*", "cds/features/*", "cds/engine/*", "cds/explain/*", "cds/decide.py")
IMPURE = frozenset(
    [
        "http",
        "io",
        "logging",
        "multiprocessing",
        "os",
        "pathlib",
        "random",
        "secrets",
        "socket",
        "sqlite3",
        "subprocess",
        "tempfile",
        "time",
        "urllib",
        "uuid",
    ]
)
NAMES = {"pyyaml": "yaml", "durable-rules": "durable"}  # distribution -> what it is imported as


def declared() -> set[str]:
    """What may be imported by the declared dependencies, optional ones too."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = list(project["dependencies"])
    for extra in project["optional-dependencies"].values():
        wanted += extra
    names = {re.split(r"[^A-Za-z0-9._-]", entry, maxsplit=1)[0].lower() for entry in wanted}
    return {NAMES.get(name, name.replace("-", "_")) for name in names}


@pytest.mark.parametrize("path", modules(), ids=str)
def test_libraries_come_in_by_their_door(path: Path) -> None:
    for line, name in imported(path):
        doors = DOORS.get(name.partition(".")[0])
        if doors is not None:
            assert any(fnmatch(str(path), door) for door in doors), (
                f"{path}:{line}: `{name}` may only be imported in {', '.join(doors)}"
            )


@pytest.mark.parametrize("path", modules(), ids=str)
def test_libraries_are_declared(path: Path) -> None:
    allowed = declared() | set(sys.stdlib_module_names) | {"cds"}
    for line, name in imported(path):
        assert name.partition(".")[0] in allowed, f"{path}:{line}: `{name}` is not declared"


@pytest.mark.parametrize("path", modules(), ids=str)
def test_what_decides_has_no_clock_no_files_and_no_chance(path: Path) -> None:
    pure = any(fnmatch(str(path), part) for part in PURE)
    # the witness guards a C library; random books are drawn for tests, from a seeded generator
    spared = ("cds/engine/durable*.py", "cds/engine/random*.py")
    if not pure or any(fnmatch(str(path), pattern) for pattern in spared):
        return
    for line, name in imported(path):
        assert name.partition(".")[0] not in IMPURE, f"{path}:{line}: `{name}` in a pure part"


def test_the_declared_libraries_are_named_as_they_are_imported() -> None:
    known = packages_distributions()
    assert declared() - set(OPTIONAL) - {"featheredge"} <= known.keys()


def test_every_layer_keeps_to_its_place() -> None:
    script = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    found = subprocess.run(
        [sys.executable, "-c", script, "--no-cache"], cwd=ROOT, capture_output=True, text=True
    )
    assert found.returncode == 0, found.stdout + found.stderr


# Runs apart: warnings are errors from the first import on, and each module is imported first, in a
# fork of its own, so that neither order nor an earlier import can hide anything.
PROBE = r"""
import importlib, io, json, logging, os, signal, sys, threading, traceback

names, optional = json.loads(sys.argv[1]), set(json.loads(sys.argv[2]))
for library in ("fastapi", "pydantic", "structlog", "uvicorn", "orjson", "rich.console", "yaml"):
    importlib.import_module(library)

ACTS = ("socket.", "subprocess.", "os.system", "os.exec", "os.mkdir", "os.remove", "os.rename",
        "sqlite3.", "urllib.", "shutil.", "signal.")
acts = []

def watch(event, args):
    if event == "open" and args[1] and set("wax+") & set(str(args[1])):
        acts.append(f"opens {args[0]!r} for writing")
    elif event.startswith(ACTS):
        acts.append(event)

def state():
    return (dict(os.environ), os.getcwd(), threading.active_count(), list(logging.root.handlers),
            logging.root.level, sys.getrecursionlimit(), signal.getsignal(signal.SIGINT))

def trial(name):
    before, said = state(), io.StringIO()
    out, err = sys.stdout, sys.stderr
    sys.stdout = sys.stderr = said
    acts.clear()
    try:
        importlib.import_module(name)
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] not in optional:
            return traceback.format_exc()
    except BaseException:
        return traceback.format_exc()
    finally:
        sys.stdout, sys.stderr = out, err
    if acts:
        return "; ".join(acts)
    if said.getvalue():
        return "prints " + said.getvalue()
    return "" if state() == before else "changes the process (environment, threads, logging, ...)"

sys.addaudithook(watch)
found = {}
for name in names:
    inward, outward = os.pipe()
    if not (child := os.fork()):
        os.close(inward)
        os.write(outward, trial(name)[-4000:].encode())
        os._exit(0)
    os.close(outward)
    with open(inward, "rb") as pipe:
        found[name] = pipe.read().decode()
    if os.waitpid(child, 0)[1]:
        found[name] = found[name] or "the process died"
print(json.dumps(found))
"""


def probe(names: list[str], folder: Path) -> dict[str, str]:
    ran = subprocess.run(
        [sys.executable, "-B", "-W", "error", "-c", PROBE, json.dumps(names), json.dumps(OPTIONAL)],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    found: dict[str, str] = json.loads(ran.stdout)
    return found


@pytest.mark.skipif(sys.platform == "win32", reason="forks")
def test_importing_a_module_does_nothing_else() -> None:
    names = [dotted(path) for path in modules() if path.stem != "__main__"]
    found = probe(names, ROOT)
    assert found.keys() == set(names)
    wrong = [f"{name}: {said.strip().splitlines()[-1]}" for name, said in found.items() if said]
    assert not wrong, "\n".join(wrong)


@pytest.mark.skipif(sys.platform == "win32", reason="forks")
def test_side_effects_are_seen(tmp_path: Path) -> None:
    planted = {
        "writes": "open('x', 'w').close()",
        "prints": "print('hello')",
        "warns": "import warnings; warnings.warn('w', stacklevel=1)",
        "starts": "import threading, time\nthreading.Thread(target=time.sleep, args=(9,)).start()",
        "binds": "import socket; socket.socket().bind(('127.0.0.1', 0))",
        "changes": "import os; os.environ['PLANTED'] = '1'",
        "logs": "import logging; logging.basicConfig()",
        "fails": "import a_library_nobody_has",
        "leaves": "raise SystemExit(0)",
        "quiet": "import json",
        "lacks": "import durable.nothing_of_that_name",
    }
    for name, text in planted.items():
        (tmp_path / f"{name}.py").write_text(text + "\n", encoding="utf-8")
    found = probe(list(planted), tmp_path)
    assert [name for name, said in found.items() if not said] == ["quiet", "lacks"]
