"""The patient rings: `GET` and `POST /call`. Seven questions of the book, the answer at once.

Which questions they are is found in the rule book. A record may be taken in; nothing is kept, by
the service or by the browser. `page.told` (`yes`) marks a form that was answered here; any other
form that arrives is a visit, and becomes the record.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.problems import CaseError
from cds.rulebook.program import Program
from cds.service.wiring import Service
from cds.vocabulary.advice import Advice
from cds.web.carry import about_case, carried, case_text, case_typed, record_typed
from cds.web.form import record_of
from cds.web.live import ask_next, wrong
from cds.web.sheet import Question, question
from cds.web.site import Site, service_of
from cds.whatif.contact import CONTACT, contact_questions

TOLD, RECORD = "page.told", "record"
KEPT = (RECORD, "by", "subject", "episode")
MOST = 6
"""How many of the questions still open are shown."""

COUNTS = {6: "Six", 7: "Seven", 8: "Eight", 9: "Nine"}
REASONS = (("~patient_unsure", "not sure"), ("~declined", "declined"))


@dataclass(frozen=True, slots=True)
class Asked:
    """One of the questions: its words, and its members where it is a block."""

    name: str
    ask: str
    hint: str
    members: tuple[Question, ...]
    block: bool
    only_if: bool
    told: bool


def questions(program: Program) -> tuple[Asked, ...]:
    """The questions in their order; one asked on a condition follows the one it hangs on."""
    found: list[tuple[Asked, tuple[str, ...]]] = []
    later: list[tuple[Asked, tuple[str, ...]]] = []
    for entry in contact_questions(program):
        names = tuple(entry["findings"])
        block = entry.get("block")
        ask, hint = split(entry["ask"])
        asked = Asked(
            f"b.{block}" if block else f"a.{names[0]}",
            ask,
            hint,
            tuple(question(program.findings[name]) for name in names),
            block is not None,
            "only_if" in entry,
            "when_told" in entry,
        )
        (later if asked.only_if else found).append(
            (asked, tuple(entry.get("only_if", ())) or names)
        )
    for asked, hangs_on in later:
        places = [at for at, (_, names) in enumerate(found) if set(names) & set(hangs_on)]
        found.insert(1 + (places[0] if places else len(found) - 1), (asked, ()))
    return tuple(asked for asked, _ in found)


def split(ask: str) -> tuple[str, str]:
    """The question, and what helps to ask it."""
    for mark in (" - ", " ("):
        lead, found, hint = ask.partition(mark)
        if found:
            return lead, hint.removesuffix(")") if mark == " (" else hint
    return ask, ""


def call_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """The questions, and the answer where they were told."""
    told = fields.get(TOLD) == "yes"
    typed = carried(fields) if told else _taken_in(service, fields)
    typed.setdefault("as_of", service.now().date().isoformat())
    typed["moment"] = CONTACT
    asked = questions(service.program)
    always = sum(not (one.only_if or one.told) for one in asked)
    context: dict[str, Any] = {
        "typed": typed,
        "reasons": REASONS,
        "questions": asked,
        "how_many": COUNTS.get(always, str(always)),
        "sessions": _sessions(service, typed),
        "advice": None,
        "problems": [],
        "here": "call",
    }
    if told:
        try:
            context |= answer(service, typed)
        except CaseError as error:
            context |= {"problems": wrong(error.problems), "status": 422}
    return context


def answer(service: Service, typed: Mapping[str, str]) -> dict[str, Any]:
    """The advice for what was told. Raises `CaseError`."""
    case = case_typed(service, typed)
    advice = service.advise({"case": case}, full=True)["advice"]
    open_here, more = still_open(service.program, advice)
    return {
        "advice": advice,
        "advised": [r for r in advice["referrals"] if not r["held_only"]],
        "open_here": open_here,
        "open_more": more,
        "rule_titles": {name: rule.title for name, rule in service.program.rules.items()},
        "fields": {name: text for name, text in typed.items() if text},
        "to_visit": {n: text for n, text in typed.items() if text and n != "moment"},
    }


def still_open(program: Program, advice: Advice) -> tuple[list[str], int]:
    """Questions of this page without an answer that counts, and how many others there are."""
    asked = {asked.name: asked.ask for asked in questions(program)}
    open_ones = [entry.field for entry in ask_next(program, advice)]
    here = [asked[name] for name in asked if name in open_ones]
    return here, len([name for name in open_ones if name not in asked])


def _taken_in(service: Service, fields: Mapping[str, str]) -> dict[str, str]:
    """What a visit or a record leaves for the call: the record, and whose it is."""
    sheet = carried(fields)
    kept = {name: text for name, text in sheet.items() if name in KEPT}
    if any(name.startswith(("a.", "b.", "s.", "consent.", "palpated")) for name in sheet):
        kept[RECORD] = case_text(record_typed(service, sheet))
    return kept


def _sessions(service: Service, typed: Mapping[str, str]) -> int | None:
    """How many sessions the record has; None where there is no record that can be read."""
    try:
        _, case = record_of(service.decider.vocabulary, typed.get(RECORD, ""))
    except CaseError:
        return None
    return None if case is None else len(case.course or ())


def routes(site: Site) -> APIRouter:
    """The routes of the call."""
    found = APIRouter(redirect_slashes=False)

    async def empty(request: Request) -> Response:
        service = service_of(request)
        if service is None:
            return site.page("start.html", None, status=503, here="call")
        return site.page("call.html", service, **call_context(service, {}))

    async def told(request: Request) -> Response:
        return await about_case(site, request, "call.html", call_context)

    found.add_api_route("/call", empty, methods=["GET", "HEAD"], include_in_schema=False)
    found.add_api_route("/call", told, methods=["POST"], include_in_schema=False)
    return found
