"""In the session: `POST /during`, a table decided beforehand, to be read from two metres.

Hands are on the patient, so nothing is typed: for each step of the path the page says what to do
for whatever the step shows. What leads to the same is said once. Only going on leads to the row of
the next step by a tap, since only there do the rows below still hold.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from cds.service.wiring import Service
from cds.vocabulary.advice import Advice
from cds.web.carry import about_case, case_typed
from cds.web.site import Site
from cds.whatif.branches import Branch, StepRow

VERBS = {
    "go_on": "Go on",
    "stay": "Stay",
    "step_down": "Step down",
    "stop": "Stop",
    "emergency": "Stop",
    "answer_first": "Ask first",
}
"""What each action is called, in the largest letters."""


@dataclass(frozen=True, slots=True)
class Do:
    """What to do, and all that may be seen for which it is so. `goes`: the step that follows."""

    action: str
    verb: str
    rest: str
    seen: tuple[str, ...]
    also: tuple[str, ...]
    goes: str


@dataclass(frozen=True, slots=True)
class Step:
    """One rung at one level: what must be true before it, what to do after it, stop signs."""

    id: str
    level: str
    rung: str
    title: str
    place: int
    of: int
    gate: tuple[str, ...]
    stops: tuple[str, ...]
    branches: tuple[Do, ...]


def during_context(service: Service, fields: Mapping[str, str]) -> dict[str, Any]:
    """The steps of the table. Raises `CaseError`."""
    case = case_typed(service, fields)
    table = service.session_table({"case": case})["table"]
    advice = service.advise({"case": case}, full=True)["advice"]
    return {
        "headline": advice["headline"],
        "steps": steps(table["rows"], advice),
        "note": table["note"],
        "advised": [r for r in advice["referrals"] if not r["held_only"]],
    }


def steps(rows: list[StepRow], advice: Advice) -> tuple[Step, ...]:
    """The rows with their places, their stop signs, and what leads to the same put together."""
    ids = {(row["level"], row["rung"]): f"step-{n}" for n, row in enumerate(rows, start=1)}
    levels = [row["level"] for row in rows]
    found: list[Step] = []
    for row in rows:
        level = row["level"]
        found.append(
            Step(
                ids[level, row["rung"]],
                level,
                row["rung"],
                row["title"],
                1 + sum(step.level == level for step in found),
                levels.count(level),
                tuple(row["gate"]),
                stop_signs(advice, level, row["rung"]),
                together(row["branches"], {r: ids.get((level, r), "") for _, r in ids}),
            )
        )
    return tuple(found)


def stop_signs(advice: Advice, level: str, rung: str) -> tuple[str, ...]:
    """Stop signs of the cards for this rung; of all cards of the level where it has none."""
    cards = [c for s in advice["segments"] if s["level"] == level for c in s["cards"]]
    own = [card for card in cards if rung in card["rungs"]]
    return tuple(dict.fromkeys(sign for card in own or cards for sign in card["stop"]))


def together(branches: list[Branch], ids: Mapping[str, str]) -> tuple[Do, ...]:
    """The branches in their order, those with the same words as one; what stops stands last."""
    alike: dict[tuple[str, str], list[Branch]] = {}
    for branch in branches:
        alike.setdefault((branch["action"], branch["text"]), []).append(branch)
    found = [
        Do(
            action,
            VERBS[action],
            rest(VERBS[action], text),
            tuple(branch["title"] for branch in members),
            tuple(dict.fromkeys(said for branch in members for said in branch["cautions"])),
            ids.get(members[0].get("to", ""), "") if action == "go_on" else "",
        )
        for (action, text), members in alike.items()
    ]
    return tuple(sorted(found, key=lambda do: do.action in ("stop", "emergency")))


def rest(verb: str, text: str) -> str:
    """The words after the verb, which is shown larger; all of them where it is not the first."""
    return text.removeprefix(verb).lstrip(" .,") if text.startswith(verb) else text


def routes(site: Site) -> APIRouter:
    """The route of the table."""
    found = APIRouter(redirect_slashes=False)

    async def shown(request: Request) -> Response:
        return await about_case(site, request, "during.html", during_context)

    found.add_api_route("/during", shown, methods=["POST"], include_in_schema=False)
    return found
