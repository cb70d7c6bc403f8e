"""The table for the session: what to do next, whatever a step shows, decided beforehand.

Hands are on the patient and nobody types. For every rung of today's path at every level treated the
case is decided again as if the rung were done and had shown one thing: guarding eased, the same or
worse, pain spreading down the limb, a new sign of the nerves, pain up by two points, and at a
thrust trouble in the set-up. Steps of the path before the rung are taken as done without harm. Each
level is taken by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import NotRequired, TypedDict

from cds.decide import Decider
from cds.engine.path import NO_SKIP
from cds.explain.headline import ASK_FIRST, STOPPED
from cds.vocabulary.advice import Advice, PathStep
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case, Step
from cds.vocabulary.model import CARE
from cds.vocabulary.reading_parts import GUARDING, PAIN
from cds.vocabulary.values import Amount, Choice

RISE = 2
"""Points that pain is up in the branch "pain up"."""

THRUST = "thrust"
EASED, SAME, WORSE = "guarding_eased", "guarding_same", "guarding_worse"
TITLES = {
    EASED: "Guarding eases",
    SAME: "Guarding stays the same",
    WORSE: "Guarding is worse",
    "spread_distal": "Pain spreads down the limb",
    "new_sign": "New sign of the nerves, saddle or bladder",
    "pain_up": f"Pain is up by {RISE} points",
    "set_up_pain": "Pain at the set-up",
    "set_up_resistance": "Resistance at the set-up",
}
"""The branches in the order of the table."""

NO_GUARDING = "Record guarding before the session: without it nothing is decided of guarding."
NOTE = (
    "Decided beforehand from what is recorded. Rungs before a step are taken as done without harm. "
    "What is not in a row is decided anew."
)


class Branch(TypedDict):
    """What to do when a step shows this. `action`: go_on, stay, step_down, stop, emergency or
    answer_first; `to` is the rung to go to, `no_higher_than` the top that is left.

    `rules` are those that speak because of what the step showed.
    """

    branch: str
    title: str
    action: str
    to: NotRequired[str]
    no_higher_than: NotRequired[str]
    text: str
    headline: str
    care_today: str
    cautions: list[str]
    rules: list[str]


class StepRow(TypedDict):
    """One rung at one level, what must be true before it, and its branches."""

    level: str
    rung: str
    title: str
    gate: list[str]
    branches: list[Branch]


class SessionTable(TypedDict):
    """The table. Without rows where no hands-on care is open; `headline` says why."""

    headline: str
    status: str
    rows: list[StepRow]
    note: str


@dataclass(frozen=True, slots=True)
class _Start:
    """The session as it is when a row begins: steps done, guarding and pain as last known."""

    case: Case
    done: tuple[Step, ...]
    guarding: str | None
    pain: int | None


def session_table(decider: Decider, case: Case) -> SessionTable:
    """The table for a case before or in a session; without rows at any other moment."""
    advice = decider.decide(case)
    found: SessionTable = {
        "headline": advice["headline"]["text"],
        "status": advice["status"],
        "rows": [],
        "note": NOTE,
    }
    if case.moment not in ("before_session", "during_session"):
        return found
    start = _start(decider, case)
    if start.guarding is None:
        found["note"] = f"{NO_GUARDING} {NOTE}"
    for segment in advice["segments"]:
        if segment["treat_today"]:
            found["rows"] += _rows(decider, start, segment["level"], segment["path"]["steps"])
    return found


def branch_case(case: Case, step: Step, before: tuple[Step, ...] = ()) -> Case:
    """The case in session with these steps and then this one done."""
    steps = (*(case.steps or ()), *before, step)
    return replace(case, moment="during_session", steps=steps)


def _start(decider: Decider, case: Case) -> _Start:
    values = stand(decider.vocabulary, case).values
    guarding, pain = values.get("guarding"), values.get("pain")
    word = guarding.exact if isinstance(guarding, Choice) else None
    points = pain.exact if isinstance(pain, Amount) else None
    for step in case.steps or ():
        word = step.guarding if step.guarding is not None else word
    return _Start(case, (), word, points)


def _rows(decider: Decider, start: _Start, level: str, path: list[PathStep]) -> Iterator[StepRow]:
    done: tuple[Step, ...] = ()
    for place, at in enumerate(path):
        quiet = _step(start, at["rung"], level)
        above = path[place + 1] if place + 1 < len(path) else None
        yield {
            "level": level,
            "rung": at["rung"],
            "title": at["title"],
            "gate": list(at["gate"]),
            "branches": list(_branches(decider, start, done, quiet, above)),
        }
        done = (*done, quiet)


def _step(start: _Start, rung: str, level: str) -> Step:
    """The rung done, and nothing seen that was not there before."""
    return Step(
        rung=rung,
        level=level,
        guarding=start.guarding,
        pain=start.pain,
        spread="none",
        new_sign="no",
        set_up="easy" if rung == THRUST else None,
    )


def seen_at(quiet: Step, guarding: str | None, pain: int | None) -> list[tuple[str, Step]]:
    """What a step may show, by branch; what cannot be (more than marked guarding) is left out.

    Where something else than guarding is seen, guarding has eased: nothing speaks but what is seen.
    """
    found: list[tuple[str, Step]] = []
    if guarding is not None:
        at = GUARDING.index(guarding)
        eased = replace(quiet, guarding=GUARDING[max(at - 1, 0)])
        found.append((EASED, eased))
        if at > 0:
            found.append((SAME, quiet))
        if at + 1 < len(GUARDING):
            found.append((WORSE, replace(quiet, guarding=GUARDING[at + 1])))
        quiet = eased
    found.append(("spread_distal", replace(quiet, spread="distal")))
    found.append(("new_sign", replace(quiet, new_sign="yes")))
    if pain is not None and pain + RISE <= PAIN[1]:
        found.append(("pain_up", replace(quiet, pain=pain + RISE)))
    if quiet.rung == THRUST:
        found.append(("set_up_pain", replace(quiet, set_up="pain")))
        found.append(("set_up_resistance", replace(quiet, set_up="resistance")))
    return found


def _branches(
    decider: Decider,
    start: _Start,
    done: tuple[Step, ...],
    quiet: Step,
    above: PathStep | None,
) -> Iterator[Branch]:
    branches = seen_at(quiet, start.guarding, start.pain)
    decided = [(name, decider.decide(branch_case(start.case, s, done))) for name, s in branches]
    mildest = _fired(decided[0][1]) if start.guarding is not None else set()
    for name, advice in decided:
        spoke = sorted(_fired(advice) - mildest) if name != EASED else []
        title = TITLES[name]
        if name == EASED and start.guarding == GUARDING[0]:
            title = "No guarding"
        found: Branch = {
            "branch": name,
            "title": title,
            "action": "",
            "text": "",
            "headline": advice["headline"]["text"],
            "care_today": advice["care_today"]["now"],
            "cautions": [caution["text"] for caution in advice["cautions"]
                         if caution["rule"] in spoke],
            "rules": spoke,
        }  # fmt: skip
        _act(decider, found, advice, quiet, held=bool(spoke))
        if found["action"] == "emergency":
            # beside "stop, refer" nothing may speak of the rest of the session
            found["cautions"] = []
        yield found


def _fired(advice: Advice) -> set[str]:
    """The rules that judged; those that only choose cards and words say nothing of the step."""
    steps = advice["chain"]["steps"]
    return {s["rule"] for s in steps if s["status"] == "fired" and s["phase"] == "judge"}


def _act(decider: Decider, found: Branch, advice: Advice, quiet: Step, held: bool) -> None:
    """The action, its rung and its words, read off the decided advice.

    On goes only what nothing spoke against: where a rule spoke because of what the step showed, a
    rung that is still open is kept, and no higher one begun.
    """
    titles = {rung.name: rung.title for rung in decider.program.ladder.rungs}
    place = decider.resolver.place
    kind = advice["headline"]["kind"]
    if kind == "emergency":
        found["action"], found["text"] = "emergency", advice["headline"]["text"]
        return
    if advice["status"] == STOPPED or advice["care_today"]["now"] == CARE[-1]:
        found["action"], found["text"] = "stop", advice["headline"]["text"]
        return
    segment = next(s for s in advice["segments"] if s["level"] == quiet.level)
    rungs = [step["rung"] for step in segment["path"]["steps"]]
    if not rungs and advice["status"] == ASK_FIRST:
        found["action"], found["text"] = "answer_first", advice["headline"]["text"]
        return
    if not rungs:
        found["action"], found["text"] = "stop", f"No more hands-on care at {quiet.level} today."
        return
    found["no_higher_than"] = rungs[-1]
    higher = [rung for rung in rungs if place[rung] > place[quiet.rung]]
    if quiet.rung not in rungs and place[rungs[0]] < place[quiet.rung]:
        found["action"], found["to"] = "step_down", rungs[0]
        top = "" if rungs[0] == rungs[-1] else f", no higher than {titles[rungs[-1]]}"
        found["text"] = f"Step down to {titles[rungs[0]]}{top}"
    elif higher and not held:
        found["action"], found["to"] = "go_on", higher[0]
        found["text"] = f"Go on to {titles[higher[0]]}"
    else:
        found["action"], found["to"] = "stay", quiet.rung
        found["text"] = f"Stay at {titles[quiet.rung]}" + ("" if higher else ", no higher")
        if quiet.rung in NO_SKIP:  # it is not repeated as oscillations and holds are
            found["text"] = "Nothing more at this level: test again"
