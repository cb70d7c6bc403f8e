"""The project's own files, found and read for tests of the repository."""

from __future__ import annotations

import ast
import subprocess
from functools import cache
from pathlib import Path

from tests.support.optional import ROOT

PACKAGE = ROOT / "cds"
_NOT_OURS = {".git", ".venv", "dist", "build", "__pycache__"}


@cache
def modules() -> tuple[Path, ...]:
    """Every Python file under `cds`, relative to the project."""
    return tuple(sorted(path.relative_to(ROOT) for path in PACKAGE.rglob("*.py")))


@cache
def tracked() -> tuple[Path, ...]:
    """Every file that belongs to the project, relative to it, whether it is committed yet or not.

    Outside a git work tree (an unpacked archive) that is every file but caches.
    """
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    if listed.returncode == 0:
        names = [Path(name) for name in listed.stdout.decode().split("\0") if name]
    else:
        names = [
            path.relative_to(ROOT)
            for path in ROOT.rglob("*")
            if not _NOT_OURS & set(path.relative_to(ROOT).parts)
        ]
    return tuple(sorted(name for name in names if (ROOT / name).is_file()))


@cache
def syntax(path: Path) -> ast.Module:
    """The parsed file. `path` is relative to the project."""
    return ast.parse((ROOT / path).read_text(encoding="utf-8"), str(path))


def dotted(path: Path) -> str:
    """`cds/engine/port.py` -> `cds.engine.port`; a folder's `__init__.py` -> the folder."""
    parts = path.with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported(path: Path) -> list[tuple[int, str]]:
    """Line and full name of every absolute import in the file, wherever it stands."""
    found = []
    for node in ast.walk(syntax(path)):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            found.append((node.lineno, node.module))
    return found
