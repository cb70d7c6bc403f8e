"""Which fixtures exercise a rule: the edges drawn for it, and the cases whose advice names it.

Fixtures lie beside the checkout, or packaged; an installation may lack them. They were written for
the shipped rule book; another book only shares what has the same ids.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from cds.rulebook.reading import read_text
from cds.rulebook.tree import Plain, plain
from cds.settings import PACKAGE

FOLDERS = ("edges", "cases", "published")
EXPECTED = {
    "fired": "fires",
    "held": "is open and holds",
    "open": "is open",
    "quiet": "is quiet",
    "contraindications": "bars a technique",
    "policy_holds": "holds by local policy",
    "other_holds": "holds a technique",
}
"""Keys of a case's expectations that name rules -> what the rule does there."""
EDGES = {"fires": "fires", "open": "is open", "other_side": "is quiet on the other side"}
"""Keys of an edge -> what the rule does there."""


@dataclass(frozen=True, slots=True)
class Exercised:
    """One fixture that exercises a rule: its sentence, and what the rule does in it."""

    folder: str
    file: str
    about: str
    how: tuple[str, ...]


def fixtures_folder(package: Path = PACKAGE) -> Path | None:
    """The packaged fixtures, else those of the checkout, else None."""
    for folder in (package / "_fixtures", package.parent / "fixtures"):
        if folder.is_dir():
            return folder
    return None


def exercised(folder: Path) -> dict[str, tuple[Exercised, ...]]:
    """Rule id -> the fixtures of `folder` that exercise it, edges first. Unreadable files are left
    out: that fixtures are well formed is checked where they are run.
    """
    found: dict[str, list[Exercised]] = {}
    for part in FOLDERS:
        for path in sorted((folder / part).glob("*.yaml")):
            node, _ = read_text(path.read_bytes(), path.name)
            data = {} if node is None else plain(node)
            if not isinstance(data, dict):
                continue
            named = _edges(data) if part == "edges" else _case(data)
            for rule, about, how in named:
                found.setdefault(rule, []).append(Exercised(part, path.name, about, how))
    return {rule: tuple(entries) for rule, entries in found.items()}


_Named = tuple[str, str, tuple[str, ...]]


def _edges(data: Mapping[str, Plain]) -> Iterable[_Named]:
    entries = data.get("rules")
    for entry in entries if isinstance(entries, list) else ():
        if isinstance(entry, dict) and isinstance(entry.get("rule"), str):
            how = tuple(said for key, said in EDGES.items() if key in entry)
            yield str(entry["rule"]), str(entry.get("why", "")), how


def _case(data: Mapping[str, Plain]) -> Iterable[_Named]:
    expect = data.get("expect")
    if not isinstance(expect, dict):
        return
    how: dict[str, list[str]] = {}
    for key, said in EXPECTED.items():
        for rule in _rules(expect.get(key)):
            if said not in how.setdefault(rule, []):
                how[rule].append(said)
    for rule, ways in how.items():
        yield rule, str(data.get("about", "")), tuple(ways)


def _rules(value: Plain) -> Iterable[str]:
    """Rule ids of a list, or of the lists of a mapping."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from _rules(inner)
    elif isinstance(value, list):
        yield from (item for item in value if isinstance(item, str))
