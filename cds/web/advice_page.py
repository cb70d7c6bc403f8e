"""The advice page: `POST /advice` with the fields of the case sheet.

The first screen has the headline, what was asked and how long ago, today's path, technique and stop
signs; then why, why not more, what next, the course, the account of every rule. What was typed goes
along in hidden fields, so that each next page is one button and no address carries it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.canon import canonical
from cds.explain.changes import changes, sentences
from cds.explain.why import account
from cds.problems import CaseError
from cds.service.wiring import Service
from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from cds.web.carry import about_case, carried, case_typed
from cds.web.form import record_of
from cds.web.live import ask_next
from cds.web.pictures.course import course_picture, course_rows
from cds.web.pictures.graph import graph_picture
from cds.web.pictures.ladder import ladder
from cds.web.site import Site

SEEN = "seen"
"""The field that says which headline was shown last."""

BEFORE = "before"
"""The field with the case of the last visit, as JSON, to say what changed since."""

LETTER_FIRST = ("emergency", "refer")
"""Headlines after which the letter is the next thing to do."""


def mark_of(advice: Advice) -> str:
    """A short mark of the headline and what it rests on; the same for the same alert with the same
    values, and for the same path."""
    rules = {
        rule for entry in (*advice["referrals"], *advice["concerns"]) for rule in entry["rules"]
    }
    said = [
        advice["headline"]["kind"],
        advice["headline"]["text"],
        sorted(rules),
        sorted({
            f"{test.get('input', '')} {test['result']} {test.get('value', '')}"
            for step in advice["chain"]["steps"]
            if step["rule"] in rules
            for test in step["tests"]
        }),
        [
            [segment["level"], [step["rung"] for step in segment["path"]["steps"]]]
            for segment in advice["segments"]
            if segment["treat_today"]
        ],
    ]  # fmt: skip
    return hashlib.sha256(canonical(said)).hexdigest()[:16]


def collapsed(advice: Advice, seen: str) -> bool:
    """Whether the headline is shown small: seen with the same reasons; an emergency never."""
    return advice["headline"]["kind"] != "emergency" and seen == mark_of(advice)


@dataclass(frozen=True, slots=True)
class Since:
    """What changed since the case of the last visit: its day, sentences, or why it is not said.

    `other`: the case that came along has another case number.
    """

    on: str = ""
    sentences: tuple[str, ...] = ()
    unreadable: bool = False
    other: bool = False


def since(service: Service, text: str, advice: Advice, subject: str | None = None) -> Since | None:
    """What changed since the case in `text`; both are decided by the edition in use."""
    if not text:
        return None
    decider = service.decider
    try:
        _, case = record_of(decider.vocabulary, text)
    except CaseError:
        case = None
    if case is None:
        return Since(unreadable=True)
    if subject and case.subject and subject != case.subject:
        return Since(other=True)
    earlier = decider.decide(case)
    found = sentences(changes(service.program, earlier, advice))
    return Since(earlier["as_of"], tuple(found))


def onward(advice: Advice, referred: bool) -> tuple[str, ...]:
    """Where one goes on to, the likeliest first."""
    first = advice["headline"]["kind"] in LETTER_FIRST
    found = ["/letter"] if referred and first else []
    found.append("/visit")
    found += ["/during"] if advice["path"]["steps"] else []
    found += ["/letter"] if referred and not first else []
    return (*found, "/home-sheet", "/note", "/close")


def advice_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """What the template of the advice needs. Raises `CaseError`."""
    program = service.program
    case_json = case_typed(service, fields)
    advice = service.advise({"case": case_json}, full=True)["advice"]
    case = read_case(service.decider.vocabulary, case_json)
    sessions = case.course or ()
    rungs = [
        rung.name
        for rung in program.ladder.rungs
        if any(rung.name in dict(f.rungs) for f in program.ladder.of_group("hands_on"))
    ]
    titles = {rung.name: rung.title for rung in program.ladder.rungs}
    why = account(program, service.decider.resolver, advice)
    mark = mark_of(advice)
    advised = [entry for entry in advice["referrals"] if not entry["held_only"]]
    return {
        "advice": advice,
        "small": collapsed(advice, fields.get(SEEN, "")),
        "fields": {**carried(fields), SEEN: mark},
        "onward": onward(advice, bool(advised)),
        "advised": advised,
        "why": why,
        "graph": graph_picture(why["graph"]),
        "ladders": [
            (segment, ladder(program, advice, segment))
            for segment in advice["segments"]
            if segment["treat_today"] or segment["path"]["steps"]
        ],
        "course": course_picture(sessions, rungs),
        "course_rows": course_rows(sessions, titles),
        "course_known": case.course is not None,
        "since": since(service, fields.get(BEFORE, ""), advice, case.subject),
        "steps": {step["number"]: step for step in advice["chain"]["steps"]},
        "inputs": {entry["name"]: entry for entry in advice["chain"]["inputs"]},
        "asks": ask_next(program, advice),
        "titles": titles,
        "rule_titles": {name: rule.title for name, rule in program.rules.items()},
        "finding_titles": {name: finding.title for name, finding in program.findings.items()},
    }


def routes(site: Site) -> APIRouter:
    """The route of the advice page."""
    found = APIRouter(redirect_slashes=False)

    async def advised(request: Request) -> Response:
        return await about_case(site, request, "advice.html", advice_context)

    found.add_api_route("/advice", advised, methods=["POST"], include_in_schema=False)
    return found
