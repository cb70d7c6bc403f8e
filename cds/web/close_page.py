"""Closing a visit: `POST /close`. Three answers become the last session of the next record.

Nothing is kept here: the record goes to the next visit in the form, or is copied and taken in
again. Fields of the page's own: `page.closing` (`yes`: answered), `page.done.LEVEL.RUNG` and
`page.done.nothing` (`yes`), `page.other.level` and `page.other.rung` (done, but not on the path),
`page.guarding`, `page.pain`, `page.referred.DESTINATION` (`yes`). What was not answered is unknown.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.problems import CaseError
from cds.service.wiring import Service
from cds.vocabulary.model import LEVELS
from cds.vocabulary.reading import read_case
from cds.vocabulary.reading_parts import GUARDING, PAIN
from cds.vocabulary.write import case_json
from cds.web.carry import about_case, carried, case_text, case_typed
from cds.web.form import known_levels
from cds.web.site import Site
from cds.whatif.closing import offer

DONE, REFERRED = "page.done.", "page.referred."
NOTHING = f"{DONE}nothing"
BEFORE, SEEN, RECORD = "before", "seen", "record"
"""Fields of the next visit's sheet: this visit's case, the headline seen last, the record."""

Json = dict[str, Any]


def close_context(service: Service, fields: Mapping[str, str]) -> Json:
    """The three questions, or the record when they are answered. Raises `CaseError`."""
    case = case_typed(service, fields)
    if fields.get("page.closing") != "yes":
        return asked(service, case, fields, {})
    closing, wrong = answers(service, fields)
    if wrong:
        return {**asked(service, case, fields, wrong), "status": 422}
    try:
        record = service.close_session({"case": case, "closing": closing})["record"]
        record = with_levels(service, record, fields)
    except CaseError as error:
        wrong = {_part(p.pointer or ""): p.message for p in error.problems}
        if "" in wrong:
            raise
        return {**asked(service, case, fields, wrong), "status": 422}
    text = case_text(record)
    ahead = {RECORD: text, BEFORE: case_text(case), SEEN: fields.get(SEEN, "")}
    return {
        "closed": True,
        "session": record["course"][-1],
        "sessions": len(record["course"]),
        "titles": {rung.name: rung.title for rung in service.program.ladder.rungs},
        "referred": [service.program.destinations[to].title for to in closing.get("referred", ())],
        "record": text,
        "ahead": carried(ahead),
    }


def with_levels(service: Service, record: Json, fields: Mapping[str, str]) -> Json:
    """The record with what is known of its levels, where today's case had none.

    A visit without the word that all levels were palpated must not end a positive of one level.
    """
    levels = known_levels(service.program, service.decider.vocabulary, carried(fields))
    if "segments" in record or not levels:
        return record
    vocabulary = service.decider.vocabulary
    return case_json(vocabulary, read_case(vocabulary, {**record, "segments": levels}))


def asked(
    service: Service, case: Json, fields: Mapping[str, str], wrong: Mapping[str, str]
) -> Json:
    """What the template of the questions needs; nothing is marked before it was tapped."""
    read = read_case(service.decider.vocabulary, case)
    offered = offer(service.decider, read)
    advice = service.advise({"case": case}, full=True)["advice"]
    ladder = service.program.ladder
    titles = {rung.name: rung.title for rung in ladder.rungs}
    rungs: dict[str, list[str]] = {}
    for segment in advice["segments"]:
        if segment["treat_today"]:
            rungs[segment["level"]] = [step["rung"] for step in segment["path"]["steps"]]
    for entry in offered["done"]:
        at = rungs.setdefault(entry["level"], [])
        if entry["rung"] not in at:
            at.append(entry["rung"])
    handed = {rung for family in ladder.of_group("hands_on") for rung, _ in family.rungs}
    return {
        "closed": False,
        "typed": fields,
        "wrong": wrong,
        "levels": [
            (level, [(f"{DONE}{level}.{rung}", titles[rung]) for rung in ladder.rung_names
                     if rung in rungs[level]])
            for level in LEVELS if rungs.get(level)
        ],
        "nothing": NOTHING,
        "all_levels": LEVELS,
        "all_rungs": [(rung.name, rung.title) for rung in ladder.rungs if rung.name in handed],
        "guarding": GUARDING,
        "pain": range(PAIN[0], PAIN[1] + 1),
        "referrals": [(f"{REFERRED}{entry['to']}", entry) for entry in offered["referrals"]],
    }  # fmt: skip


def answers(service: Service, fields: Mapping[str, str]) -> tuple[Json, dict[str, str]]:
    """The closing answers as the service takes them, and what of them is wrong, by question."""
    wrong: dict[str, str] = {}
    done = {
        tuple(name.removeprefix(DONE).split(".", 1))
        for name, value in fields.items()
        if name.startswith(DONE) and name != NOTHING and value
    }
    level, rung = fields.get("page.other.level", ""), fields.get("page.other.rung", "")
    if bool(level) != bool(rung):
        wrong["other"] = "What else was done needs both its level and its rung."
    elif level:
        done.add((level, rung))
    if fields.get(NOTHING) and done:
        wrong["done"] = "Something was marked as done, and nothing as well."
    elif not fields.get(NOTHING) and not done and not wrong:
        wrong["done"] = "Mark what was done, or that nothing was."
    order = {name: place for place, name in enumerate((*LEVELS, *service.decider.resolver.place))}
    closing: Json = {
        "done": [
            {"level": given[0], "rung": given[-1]}
            for given in sorted(done, key=lambda g: [order.get(part, 99) for part in g])
        ]
    }
    if fields.get("page.guarding"):
        closing["guarding"] = fields["page.guarding"]
    if pain := fields.get("page.pain", ""):
        closing["pain"] = int(pain) if pain.isdecimal() and len(pain) < 4 else pain
    referred = sorted(n.removeprefix(REFERRED) for n, v in fields.items()
                      if n.startswith(REFERRED) and v)  # fmt: skip
    if referred:
        closing["referred"] = referred
    return closing, wrong


def _part(pointer: str) -> str:
    """The question that a problem is about; empty where it is about the case."""
    parts = pointer.split("/")
    return parts[2] if parts[1:2] == ["closing"] and len(parts) > 2 else ""


def routes(site: Site) -> APIRouter:
    """The route of closing."""
    found = APIRouter(redirect_slashes=False)

    async def shown(request: Request) -> Response:
        return await about_case(site, request, "close.html", close_context)

    found.add_api_route("/close", shown, methods=["POST"], include_in_schema=False)
    return found
