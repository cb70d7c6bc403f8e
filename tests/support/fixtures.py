"""Fixture cases: found, laid over their base, decided on the shipped rules. See fixtures/README.md.

A fixture says what a clinician would expect of one invented or published case; `expected.py`
compares. The rule book is compiled once per set of policy choices.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from cds.cli.casefile import read_case_data
from cds.decide import Decider
from cds.problems import Severity
from cds.rulebook.checks import check_book
from cds.rulebook.choices import chosen
from cds.rulebook.compile import compile_book
from cds.rulebook.load import load_book
from cds.rulebook.vetting import load_program
from tests.support.optional import ROOT

FIXTURES = ROOT / "fixtures"
BASES = FIXTURES / "bases"
RULES = ROOT / "rules"

KEYS = ("about", "reference", "differs", "sign_off", "base", "policy", "case", "expect")
REFERENCE_KEYS = ("id", "text", "status")
SIGN_OFF = ("pending",)
_LAST = "last"
_WHOLE = "answers"


class FixtureError(Exception):
    """A fixture file that does not keep to the format. Its text names the file and the key."""


@dataclass(frozen=True)
class Fixture:
    """One case and what is expected of its advice. `case` is plain JSON data, base included."""

    name: str
    about: str
    case: dict[str, Any]
    expect: dict[str, Any]
    reference: dict[str, Any] = field(default_factory=dict)
    differs: str = ""
    policy: dict[str, Any] = field(default_factory=dict)


def folder(name: str) -> list[Fixture]:
    """Every fixture of a folder of `fixtures/`, by file name."""
    return [read(path) for path in sorted((FIXTURES / name).glob("*.yaml"))]


def read(path: Path) -> Fixture:
    """One fixture. Raises `FixtureError` where it does not keep to the format."""
    data = _mapping(read_case_data(str(path)), path.name)
    published = path.parent.name == "published"
    _known(data, KEYS, path.name)
    for key in ("about", "sign_off", "case", "expect", *(("reference",) if published else ())):
        if key not in data:
            raise FixtureError(f"{path.name}: `{key}` is missing")
    if data["sign_off"] not in SIGN_OFF:
        raise FixtureError(f"{path.name}: `sign_off` is one of {', '.join(SIGN_OFF)}")
    reference = _mapping(data.get("reference", {}), f"{path.name}: reference")
    _known(reference, REFERENCE_KEYS, f"{path.name}: reference")
    if published and set(REFERENCE_KEYS) - set(reference):
        raise FixtureError(f"{path.name}: a reference has {', '.join(REFERENCE_KEYS)}")
    case = _mapping(data["case"], f"{path.name}: case")
    if "base" in data:
        case = laid_over(base(str(data["base"])), case)
    return Fixture(
        name=path.stem,
        about=str(data["about"]),
        case=case,
        expect=_mapping(data["expect"], f"{path.name}: expect"),
        reference=reference,
        differs=str(data.get("differs", "")),
        policy=_mapping(data.get("policy", {}), f"{path.name}: policy"),
    )


def base(name: str) -> dict[str, Any]:
    """The case data of a file of `fixtures/bases/`, itself laid over its own base if it has one."""
    path = BASES / f"{name}.yaml"
    if not path.is_file():
        raise FixtureError(f"no base `{name}`")
    data = _mapping(read_case_data(str(path)), path.name)
    _known(data, ("about", "base", "case"), path.name)
    case = _mapping(data["case"], path.name)
    return laid_over(base(str(data["base"])), case) if "base" in data else case


def laid_over(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """`over` on top of `under`: mappings merge, null removes, everything else replaces.

    A member of `answers` replaces whole: half an old answer is never left beside half a new one.
    Over a list, `{last: {...}}` is laid over its last member.
    """
    found = dict(under)
    for key, value in over.items():
        below = found.get(key)
        if value is None:
            found.pop(key, None)
        elif key == _WHOLE and isinstance(value, dict):
            answers = {**(below or {}), **value}
            found[key] = {name: said for name, said in answers.items() if said is not None}
        elif isinstance(value, dict) and isinstance(below, list) and set(value) == {_LAST}:
            found[key] = [*below[:-1], laid_over(below[-1], value[_LAST])]
        elif isinstance(value, dict):
            found[key] = laid_over(below if isinstance(below, dict) else {}, value)
        else:
            found[key] = value
    return found


def decider(policy: Mapping[str, Any] | None = None) -> Decider:
    """The decider of the shipped rules, with some policy choices made otherwise."""
    return _decider(tuple(sorted((policy or {}).items())))


@cache
def _decider(policy: tuple[tuple[str, Any], ...]) -> Decider:
    if not policy:
        return Decider(load_program(RULES))
    book = load_book(RULES)
    choices = book.policy
    for name, value in policy:
        if name not in choices:
            raise FixtureError(f"no policy `{name}`")
        choice = choices[name]
        if choice.values and value not in choice.values:
            raise FixtureError(f"`{value}` is no choice of the policy `{name}`")
    book = chosen(book, dict(policy))
    errors = [problem for problem in check_book(book) if problem.severity is Severity.ERROR]
    if errors:
        raise FixtureError(f"the rules do not hold with this policy: {errors[0].message}")
    return Decider(compile_book(book))


def _mapping(value: object, what: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise FixtureError(f"{what}: a mapping is wanted")
    return value


def _known(found: Mapping[str, Any], keys: tuple[str, ...], what: str) -> None:
    for key in found:
        if key not in keys:
            raise FixtureError(f"{what}: `{key}` is not a key here ({', '.join(keys)})")
