"""Size, docstrings and tests of every module; what may stand in a file at all."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from tests.support.optional import ROOT
from tests.support.tree import modules, syntax, tracked

# Modules with logic whose behaviour is tested under another name, and why.
TESTED_ELSEWHERE: dict[str, str] = {}

# Built from parts, so that this file does not contain what it forbids.
_FOLDERS = "|".join(("work", "farm", "root", "home", "Users", "tmp", "opt"))
MACHINE_PATH = re.compile(rf"(?<![\w.:/}}~-])/(?:{_FOLDERS})/[\w.]")
_HOSTS = ("pypi", "pythonhosted", "npmjs", "crates", "debian", "docker", "ghcr", "quay", "golang")
REGISTRY = re.compile(
    rf"\b(?:[a-z]+[.-])*(?:{'|'.join(_HOSTS)})\.(?:org|com|io)\b|--(?:extra-)?index-url=|--find-[l]inks="
)
TEXT_FILES = [path for path in tracked() if path.suffix not in {".png", ".jpg", ".ico", ".woff2"}]


def has_logic(tree: ast.Module) -> bool:
    """Whether any function or method does more than carry a docstring or `...`."""
    return any(
        not (isinstance(inner, ast.Expr) and isinstance(inner.value, ast.Constant))
        for node in ast.walk(tree)
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))
        for inner in node.body
    )


def twin(path: Path) -> Path:
    inside = path.relative_to("cds")
    stem = path.parent.name if path.stem == "__init__" else path.stem
    return Path("tests") / inside.parent / f"test_{stem}.py"


def test_the_package_was_found() -> None:
    assert Path("cds/problems.py") in modules()


@pytest.mark.parametrize("path", modules(), ids=str)
def test_a_module_is_short(path: Path) -> None:
    lines = (ROOT / path).read_text(encoding="utf-8").count("\n")
    assert lines < 400, f"{path} has {lines} lines: which second concept lives in it?"


@pytest.mark.parametrize("path", sorted((ROOT / "rules").rglob("*.yaml")), ids=lambda p: p.name)
def test_a_rule_file_is_short(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").count("\n")
    assert lines < 400, f"{path.name} has {lines} lines: which second topic lives in it?"


@pytest.mark.parametrize("path", modules(), ids=str)
def test_a_module_says_what_it_is(path: Path) -> None:
    assert ast.get_docstring(syntax(path)), f"{path} has no docstring"


@pytest.mark.parametrize("folder", sorted({path.parent for path in modules()}), ids=str)
def test_a_folder_names_its_files(folder: Path) -> None:
    assert folder / "__init__.py" in modules(), f"{folder} has no __init__.py"
    said = ast.get_docstring(syntax(folder / "__init__.py")) or ""
    inside = {path.stem for path in modules() if path.parent == folder} - {"__init__", "__main__"}
    inside |= {path.parent.name for path in modules() if path.parent.parent == folder}
    missing = {name for name in inside if not re.search(rf"\b{re.escape(name)}\b", said)}
    assert not missing, f"the docstring of {folder}/__init__.py does not name {sorted(missing)}"


@pytest.mark.parametrize("path", modules(), ids=str)
def test_a_module_with_logic_has_its_test(path: Path) -> None:
    if not has_logic(syntax(path)) or str(path) in TESTED_ELSEWHERE:
        return
    assert (ROOT / twin(path)).is_file(), f"{path} has no {twin(path)}"


@pytest.mark.parametrize("name", sorted(TESTED_ELSEWHERE))
def test_an_exception_is_still_needed(name: str) -> None:
    assert Path(name) in modules()
    assert not (ROOT / twin(Path(name))).is_file()


@pytest.mark.parametrize("path", TEXT_FILES, ids=str)
def test_a_file_names_no_machine_and_no_registry(path: Path) -> None:
    text = (ROOT / path).read_text(encoding="utf-8")
    for number, line in enumerate(text.splitlines(), 1):
        assert not MACHINE_PATH.search(line), f"{path}:{number}: a path of one machine"
        assert not REGISTRY.search(line), f"{path}:{number}: a registry's host or option"


@pytest.mark.parametrize(
    "line", ["see /" + "work/x", "'/" + "tmp/a.txt'", "cd /" + "root/project", "=/" + "home/me"]
)
def test_machine_paths_are_seen(line: str) -> None:
    assert MACHINE_PATH.search(line)


@pytest.mark.parametrize(
    "line", ["../shared/external", "src/work/x", "tmpfs: /tmp", "GET /v1/x", "tests/tmp/x"]
)
def test_other_paths_are_left_alone(line: str) -> None:
    assert not MACHINE_PATH.search(line)


@pytest.mark.parametrize(
    "line", ["https://py" + "pi.org/simple", "files.python" + "hosted.org", "--index" + "-url=x"]
)
def test_registries_are_seen(line: str) -> None:
    assert REGISTRY.search(line)


def test_exactly_the_functions_that_do_something_count_as_logic() -> None:
    assert has_logic(ast.parse("def f():\n    return 1"))
    assert has_logic(ast.parse("class A:\n    def f(self):\n        'd'\n        return 1"))
    assert not has_logic(ast.parse("X = 1\nclass A:\n    def f(self):\n        'd'\n        ..."))


def test_the_lock_holds_hashes_and_no_origin() -> None:
    locks = sorted((ROOT / "requirements").glob("*.txt"))
    assert {lock.stem for lock in locks} == {"runtime", "dev", "durable", "build", "lock"}
    for lock in locks:
        lines = lock.read_text(encoding="utf-8").splitlines()
        entries = [number for number, line in enumerate(lines) if re.match(r"[a-z0-9]", line)]
        assert entries
        for number in entries:
            assert re.match(r"[a-z0-9._-]+==[^ ]+( ;.*)? \\$", lines[number]), lines[number]
            assert lines[number + 1].startswith("    --hash=sha256:"), lines[number]
        assert not [line for line in lines if "://" in line or "file:" in line]
        assert not [line for line in lines if line.startswith("-")]


def test_what_runs_is_locked_the_same_for_tests() -> None:
    def pins(name: str) -> set[str]:
        text = (ROOT / "requirements" / name).read_text(encoding="utf-8")
        return set(re.findall(r"^([a-z0-9._-]+==[^ ]+)", text, re.MULTILINE))

    assert pins("runtime.txt") | pins("build.txt") <= pins("dev.txt")
