"""Where on the case sheet something stands: a finding, a part of the record, a problem of reading.

Every field has its place: the element with the id `q-FIELD`, where a link to it leads and where
its problem is shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from cds.problems import Problem
from cds.rulebook.program import Program
from cds.vocabulary.model import NAMELESS
from cds.vocabulary.vocabulary import SEGMENT

PALPATED = "palpated"
FIRST = "first"
_PARTS = {
    "course": FIRST, "referrals": FIRST, "segments": PALPATED, "consents": "consent.hands_on",
    "clinician": "by", "today": FIRST,
}  # fmt: skip
"""Parts of a case, as features read them, and the field that says something of them."""
_LAST = {
    "adverse_last": "last.after", "spread_last": "last.after", "settled_48h": "last.after",
    "stop_sign_last": "last.after", "comparable_last": "last.comparable_sign",
}  # fmt: skip
"""Features of the last session that are asked at the next visit."""


def field_of(finding: str, level: str | None) -> str:
    """The field that a finding is typed into; the list of levels for one of no level yet."""
    if not finding.startswith(SEGMENT):
        return f"a.{finding}"
    if level is None or level == NAMELESS:
        return PALPATED
    return f"s.{level}.a.{finding.removeprefix(SEGMENT)}"


def field_of_input(program: Program, name: str, level: str | None) -> str:
    """The field behind an open question: of a finding its own, of a feature what it reads."""
    if name in program.findings:
        return field_of(name, level)
    if name.startswith(SEGMENT) and level == NAMELESS:
        return PALPATED
    if name in ("age", "sex"):
        return name
    if name in _LAST:
        return _LAST[name]
    if name.startswith("training_"):
        return f"training.{name.removeprefix('training_')}"
    if name == "consent_thrust" or name.endswith("outside_consent_thrust"):
        return "consent.thrust"
    feature = program.features.get(name)
    for part in () if feature is None else feature.reads:
        if part in _PARTS:
            return _PARTS[part]
        if part in program.findings:
            return field_of(part, level)
    return ""


def field_of_problem(problem: Problem, case: Mapping[str, Any]) -> str:
    """The field that has to be mended, "" for a problem of no field.

    `case` is the JSON that was refused: its levels and answers stand there in their order.
    """
    parts = [part for part in (problem.pointer or "").split("/") if part]
    if parts[:1] == ["case"]:
        parts = parts[1:]
    match parts:
        case ["record", *_]:
            return "record"
        case ["answers", name, *_]:
            return f"a.{name}"
        case ["blocks", name, *_]:
            return f"b.{name}"
        case ["patient", "sex", *_]:
            return "sex"
        case ["patient", *_]:
            return "age"
        case ["as_of" | "subject" as name, *_]:
            return name
        case ["clinician", "training", family, *_]:
            return f"training.{family}"
        case ["clinician", *_]:
            return "by"
        case ["resolved", index, *_]:
            return _resolved(_at(case.get("resolved"), index))
        case ["segments", index, *rest]:
            return _level(_at(case.get("segments"), index), rest)
        case ["consents", index, *_]:
            family = _at(case.get("consents"), index).get("family", "hands_on")
            return f"consent.{family}"
        case ["course", *_, "comparable_sign"]:
            return "last.comparable_sign"
        case ["course", *_, "settled" | "spread" | "stop_sign" | "adverse"]:
            return "last.after"
        case [name, *_]:
            return _PARTS.get(name, "")
        case _:
            return ""


def _at(entries: object, index: str) -> Mapping[str, Any]:
    """An entry of a list of the case; empty where there is none."""
    if isinstance(entries, Sequence) and index.isdecimal() and int(index) < len(entries):
        entry = entries[int(index)]
        return entry if isinstance(entry, Mapping) else {}
    return {}


def _resolved(entry: Mapping[str, Any]) -> str:
    name, level = str(entry.get("finding", "")), entry.get("level")
    if level:
        return f"s.{level}.a.{name.removeprefix(SEGMENT)}"
    return f"a.{name}" if name else ""


def _level(segment: Mapping[str, Any], rest: list[str]) -> str:
    level = segment.get("level")
    if not level:
        return PALPATED
    if rest[:1] == ["answers"] and len(rest) > 1:
        return f"s.{level}.a.{rest[1].removeprefix(SEGMENT)}"
    return f"s.{level}"
