"""The draft beside the case sheet: what was typed so far, decided, and the state of each question.

A draft is never recorded. States of a question: `owed` (something is held until it is answered),
`stale` (an earlier answer no longer counts), `adverse`, `answered`, `not_applicable`, or none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypedDict

from cds.problems import CaseError, Problem
from cds.rulebook.program import Program
from cds.service.wiring import Service
from cds.vocabulary.advice import Advice, OpenQuestion
from cds.vocabulary.ageing import WHY
from cds.vocabulary.vocabulary import SEGMENT
from cds.web.form import case_of
from cds.web.words import ago, day, plain

FIRST = 6
"""How many of the questions that matter most are shown beside the sheet."""


class State(TypedDict):
    """The state of one question, and the line that says it."""

    state: str
    text: str


@dataclass(frozen=True, slots=True)
class Wrong:
    """A problem of what was typed, and the field it is about ("" where it is about none)."""

    text: str
    field: str


@dataclass(frozen=True, slots=True)
class AskNext:
    """A question to ask next: its field, its words, and what it could change."""

    field: str
    ask: str
    could: str


def decided(service: Service, fields: Mapping[str, str], *, draft: bool = True) -> Advice:
    """The full advice for what was typed. Raises `CaseError`."""
    case = case_of(service.program, service.decider.vocabulary, fields)
    return service.advise({"case": case, "draft": draft}, full=True)["advice"]


def field_of(finding: str, level: str | None) -> str:
    """The field that a finding is typed into; the list of levels for one of no level yet."""
    if not finding.startswith(SEGMENT):
        return f"a.{finding}"
    if level is None or level == "unnamed":
        return "palpated"
    return f"s.{level}.a.{finding.removeprefix(SEGMENT)}"


def states(program: Program, advice: Advice) -> dict[str, State]:
    """The state of every question that has one, by the name of its field."""
    found: dict[str, State] = {}
    for entry in advice["chain"]["inputs"]:
        base, _, level = entry["name"].partition("@")
        if base in program.findings and entry.get("not_applicable"):
            found[field_of(base, level or None)] = {"state": "not_applicable", "text": ""}
    for question in advice["open_questions"]:
        if question["owed"]:
            name = field_of(question["finding"], question.get("level"))
            found[name] = {"state": "owed", "text": _owed(question)}
    for aside in advice["answers"]["stale"]:
        base, _, level = aside["finding"].partition("@")
        why = WHY.get(aside["why"], aside["why"])
        text = f"{plain(aside['value'])} of {day(aside['observed'])} no longer counts: {why}"
        found[field_of(base, level or None)] = {"state": "stale", "text": text}
    for used in advice["answers"]["used"]:
        base, _, level = used["finding"].partition("@")
        finding = program.findings.get(base)
        bad = finding is not None and used["value"] in finding.adverse
        text = "" if used["age_days"] == 0 else f"{plain(used['value'])}, {ago(used['age_days'])}"
        state = "adverse" if bad else "answered"
        found[field_of(base, level or None)] = {"state": state, "text": text}
    for name, block in program.blocks.items():
        members = [found.get(f"a.{member}", {"state": "", "text": ""}) for member in block.findings]
        open_ones = [m for m in members if m["state"] in ("owed", "stale")]
        if open_ones:
            found[f"b.{name}"] = open_ones[0]
        elif all(m["state"] in ("answered", "adverse", "not_applicable") for m in members):
            bad = any(m["state"] == "adverse" for m in members)
            found[f"b.{name}"] = {"state": "adverse" if bad else "answered", "text": ""}
    return found


def _owed(question: OpenQuestion) -> str:
    return "owed before any hands-on care" if question["holds_hands_on"] else "owed"


def ask_next(program: Program, advice: Advice) -> list[AskNext]:
    """What is owed, the most consequential first; the questions of one block are one."""
    found: dict[str, AskNext] = {}
    for question in advice["open_questions"]:
        if not question["owed"]:
            continue
        block = program.blocks.get(question.get("block", ""))
        name = f"b.{block.id}" if block else field_of(question["finding"], question.get("level"))
        said = question["ask"] if block is None else block.ask
        if question.get("level") and block is None:
            said = f"{question['level']}: {said}"
        found.setdefault(name, AskNext(name, said, could(question)))
    return list(found.values())


def could(question: OpenQuestion) -> str:
    """What the answer could change at most, in a few words."""
    most = question["could"]
    if "referral" in most and most["referral"] != "none":
        return f"could mean a referral: {plain(most['referral'])}"
    if most.get("care_today") == "no_hands_on":
        return "could stop hands-on care"
    return "could limit a technique" if "limit" in most else ""


def wrong(problems: list[Problem] | tuple[Problem, ...]) -> list[Wrong]:
    """What is wrong, with the field to mend."""
    return [Wrong(problem.message, _field(problem.pointer or "")) for problem in problems]


def _field(pointer: str) -> str:
    parts = [part for part in pointer.split("/") if part]
    if parts[:1] == ["case"]:
        parts = parts[1:]
    if parts[:1] == ["answers"] and len(parts) > 1:
        return f"a.{parts[1]}"
    if parts[:1] == ["blocks"] and len(parts) > 1:
        return f"b.{parts[1]}"
    return {"segments": "palpated", "as_of": "first", "record": "first"}.get("".join(parts[:1]), "")


def live(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """What the template of the draft needs, and the states of the questions."""
    try:
        advice = decided(service, fields)
    except CaseError as error:
        return {"problems": wrong(error.problems), "advice": None, "next": [], "more": 0,
                "states": {}}  # fmt: skip
    asked = ask_next(service.program, advice)
    return {
        "problems": [],
        "advice": advice,
        "next": asked[:FIRST],
        "more": max(len(asked) - FIRST, 0),
        "states": states(service.program, advice),
    }
