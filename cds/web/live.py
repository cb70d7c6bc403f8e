"""The draft beside the case sheet: what was typed so far, decided, and the state of each question.

A draft is never recorded. States of a question: `owed` (something is held until it is answered),
`stale` (an earlier answer no longer counts), `adverse` (a positive), `answered` today, `kept` (an
earlier answer that still counts), `not_applicable`, and `open` for one that is neither answered nor
owed. Each state has its own word, so that a question nobody asked never looks like a "no".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from itertools import groupby
from typing import Any, TypedDict

from cds.problems import CaseError, Problem
from cds.rulebook.program import Program
from cds.service.wiring import Service
from cds.vocabulary.advice import Advice, OpenQuestion
from cds.vocabulary.ageing import WHY
from cds.vocabulary.model import Finding
from cds.web.anchors import PALPATED, field_of, field_of_input, field_of_problem
from cds.web.form import REASON, UNCHANGED, case_of, marked_levels
from cds.web.words import ago, day, plain

QUOTED = re.compile("`([^`]+)`")
FIRST = 6
"""How many of the questions that matter most are shown beside the sheet."""
RECORD = "Record: "
"""What the words of a question begin with when nobody asks it: the record has to say it."""


class State(TypedDict):
    """The state of one question, and the line that says it."""

    state: str
    text: str


OPEN: State = {"state": "open", "text": "not answered"}
_PREFIX = "not answered: "
_OTHERS = ("age", "sex", "first", "consent_region", PALPATED)
"""Fields of the sheet that are no findings."""
_WHOLE = ("answered", "kept", "adverse", "not_applicable")


@dataclass(frozen=True, slots=True)
class Wrong:
    """A problem of what was typed, and the field it is about ("" where it is about none)."""

    text: str
    field: str


@dataclass(frozen=True, slots=True)
class AskNext:
    """A question to ask next: its field, its words, its first words, what it could change."""

    field: str
    ask: str
    could: str
    short: str = ""


def decided(service: Service, fields: Mapping[str, str], *, draft: bool = True) -> Advice:
    """The full advice for what was typed. Raises `CaseError`."""
    case = case_of(service.program, service.decider.vocabulary, fields)
    return service.advise({"case": case, "draft": draft}, full=True)["advice"]


def states(program: Program, advice: Advice) -> dict[str, State]:
    """The state of every question that has one, by the name of its field."""
    found: dict[str, State] = {}
    for entry in advice["chain"]["inputs"]:
        base, _, level = entry["name"].partition("@")
        if base in program.findings and entry.get("not_applicable"):
            text = "does not apply here"
            found[field_of(base, level or None)] = {"state": "not_applicable", "text": text}
    for question in advice["open_questions"]:
        name = field_of_input(program, question["finding"], question.get("level"))
        if question["owed"] and found.get(name, OPEN)["text"] != _HOLDS:
            found[name] = {"state": "owed", "text": _owed(question)}
    for aside in advice["answers"]["stale"]:
        base, _, level = aside["finding"].partition("@")
        why = WHY.get(aside["why"], aside["why"])
        text = f"no longer counts: {plain(aside['value'])} of {day(aside['observed'])}, {why}"
        found[field_of(base, level or None)] = {"state": "stale", "text": text}
    for used in advice["answers"]["used"]:
        base, _, level = used["finding"].partition("@")
        bad = _bad(program.findings.get(base), used["value"])
        lead = "positive: " if bad else ""
        text = f"{lead}{plain(used['value'])}, {ago(used['age_days'])}"
        state = "adverse" if bad else "kept" if used["age_days"] else "answered"
        found[field_of(base, level or None)] = {"state": state, "text": text}
    for name, block in program.blocks.items():
        found[f"b.{name}"] = _block([found.get(f"a.{member}", OPEN) for member in block.findings])
    return found


_HOLDS = "not answered: owed before any hands-on care"


def _owed(question: OpenQuestion) -> str:
    return _HOLDS if question["holds_hands_on"] else "not answered: owed"


def _bad(finding: Finding | None, said: str) -> bool:
    """Whether an answer, in the words of the advice, is a positive."""
    if finding is None:
        return False
    if not finding.numeric:
        return said in {plain(word) for word in finding.adverse}
    if finding.positive_from is None:
        return False
    try:
        value = Decimal(said)
    except InvalidOperation:
        return False
    return (
        value <= finding.positive_from
        if "down" in finding.adverse
        else (value >= finding.positive_from)
    )


def _block(members: list[State]) -> State:
    """The state of a block: the worst news of its members, then what is still owed."""
    kinds = [member["state"] for member in members]
    for state in ("owed", "stale"):
        if state in kinds:
            return members[kinds.index(state)]
    bad = kinds.count("adverse")
    if bad:
        return {"state": "adverse", "text": f"positive: {bad} of {len(members)}"}
    for state in ("kept", "answered"):
        if state in kinds and all(kind in _WHOLE for kind in kinds):
            return {"state": state, "text": members[kinds.index(state)]["text"]}
    if kinds and all(kind == "not_applicable" for kind in kinds):
        return members[0]
    return OPEN


def ask_next(program: Program, advice: Advice) -> list[AskNext]:
    """What is owed, the most consequential first; the questions of one block are one."""
    found: dict[str, AskNext] = {}
    for question in advice["open_questions"]:
        if not question["owed"]:
            continue
        block = program.blocks.get(question.get("block", ""))
        level = question.get("level")
        name = f"b.{block.id}" if block else field_of_input(program, question["finding"], level)
        said = question["ask"] if block is None else block.ask
        short = said.removeprefix(RECORD).partition(" - ")[0]
        if name == PALPATED:
            short = "Levels T10 to S1"
        elif level and block is None:
            said, short = f"{level}: {said}", f"{level}: {short}"
        key = name or question["finding"]
        found.setdefault(key, AskNext(name, said, could(question), short))
    return list(found.values())


def could(question: OpenQuestion) -> str:
    """What the answer could change at most, in a few words."""
    most = question["could"]
    if "referral" in most and most["referral"] != "none":
        return f"could mean a referral: {plain(most['referral'])}"
    if most.get("care_today") == "no_hands_on":
        return "could stop hands-on care"
    return "could limit a technique" if "limit" in most else ""


def grouped(asked: Iterable[AskNext]) -> list[tuple[str, list[AskNext]]]:
    """Neighbours that could change the same, under one heading."""
    return [(could, list(members)) for could, members in groupby(asked, lambda a: a.could)]


def wrong(problems: Iterable[Problem], case: Mapping[str, Any] | None = None) -> list[Wrong]:
    """What is wrong, with the field to mend; `case` is the JSON that was refused."""
    return [Wrong(_for_people(p.message), field_of_problem(p, case or {})) for p in problems]


def _for_people(message: str) -> str:
    """A message with its quoted names in plain words."""
    return QUOTED.sub(lambda name: plain(name.group(1)), message)


def _typed(found: dict[str, State], fields: Mapping[str, str]) -> None:
    """What only the form knows: a reason for no answer, and answers that are no finding's."""
    for name, value in fields.items():
        if not value or value == UNCHANGED:
            continue
        if value.startswith(REASON):
            still = found.get(name, OPEN)
            if still["state"] in ("owed", "open"):
                text = f"no answer ({plain(value[1:])}): {still['text'].removeprefix(_PREFIX)}"
                found[name] = {"state": still["state"], "text": text.removesuffix(": ")}
            continue
        of_the_sheet = name in _OTHERS or name.startswith(("last.", "consent.", "training."))
        if of_the_sheet and found.get(name, OPEN)["state"] == "open":
            found[name] = {"state": "answered", "text": "answered today"}


def live(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """What the template of the draft needs, the states of the questions, and what is wrong."""
    case: dict[str, Any] = {}
    try:
        case = case_of(service.program, service.decider.vocabulary, fields)
        advice = service.advise({"case": case, "draft": True}, full=True)["advice"]
    except CaseError as error:
        problems = wrong(error.problems, case)
        return {"problems": problems, "advice": None, "next": [], "more": 0, "states": {}}
    asked = ask_next(service.program, advice)
    found = states(service.program, advice)
    _typed(found, fields)
    marked = len(marked_levels(fields))
    if marked and fields.get("palpated") != "yes":
        text = f"not answered: the {marked} marked above count once it is said of all levels"
        found[PALPATED] = {"state": "owed", "text": text}
    return {
        "problems": [],
        "advice": advice,
        "next": grouped(asked[:FIRST]),
        "more": max(len(asked) - FIRST, 0),
        "states": found,
    }
