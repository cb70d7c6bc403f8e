"""The one headline of an advice, and whether it is stopped, waiting for answers, or settled.

Words are fixed: never "safe" or "cleared"; "up to", "not ruled out by what was recorded". A stop
says
"outside the scope of this service: stop, refer", with the usual urgency of published pathways.
"""

from __future__ import annotations

from dataclasses import dataclass

from cds.engine.path import Resolved, Resolver
from cds.explain.words import word
from cds.rulebook.program import Program
from cds.vocabulary.advice import Concern, Headline, OpenQuestion, Referral
from cds.vocabulary.model import URGENCIES

STOPPED, ASK_FIRST, SETTLED = "stopped", "ask_first", "settled"


@dataclass(frozen=True, slots=True)
class Found:
    """What the headline is made of. `fired` is the reading with holds left out.

    `barred_levels`: levels that are worth treating by hand, and closed. `next_step`: of the course.
    """

    now: Resolved
    fired: Resolved
    referrals: list[Referral]
    concerns: list[Concern]
    questions: list[OpenQuestion]
    moment: str
    asked: str
    treated: list[str]
    bars_all: bool
    bar_titles: list[str]
    barred_levels: tuple[str, ...] = ()
    next_step: str = "continue"


def status(resolver: Resolver, found: Found) -> str:
    """`stopped` when a fired rule bars all hands-on care or refers urgently, `ask_first` when a
    held
    limit decides the path or care now, else `settled`."""
    if found.fired.urgency >= resolver.urgent or found.bars_all:
        return STOPPED
    held = (
        found.now.paths != found.fired.paths
        or found.now.care != found.fired.care
        or found.now.urgency != found.fired.urgency
        # with nothing listed yet there is no path to differ, but a hold may still decide care
        or (not found.now.hands_on and any(q["holds_hands_on"] for q in found.questions))
    )
    return ASK_FIRST if held else SETTLED


def headline(program: Program, resolver: Resolver, found: Found) -> Headline:
    """Exactly one headline for every legal case."""
    kind, text = _headline(program, resolver, found)
    return {"kind": kind, "text": text, "second": found.asked}


def _headline(program: Program, resolver: Resolver, found: Found) -> tuple[str, str]:
    fired = [r for r in found.referrals if not r["held_only"]]
    if found.fired.urgency == URGENCIES.index("emergency"):
        return "emergency", f"Stop. Emergency referral now: {_why(found, fired, 'emergency')}"
    if found.fired.urgency >= resolver.urgent:
        worst = URGENCIES[found.fired.urgency]
        within = next((r["within"] for r in fired if r["urgency"]["least_careful"] == worst), "")
        when = within or word(worst)
        return "refer", f"No hands-on care. Refer {when}: {_why(found, fired, worst)}"
    if found.bars_all:
        why = "; ".join(found.bar_titles) or "see the rules that bar it"
        return "no_hands_on", f"No hands-on care today: {why}."
    # as a therapist asks them: the questions of one block are one answer, "none of these"
    owed = len(
        {q.get("block") or (q["finding"], q.get("level")) for q in found.questions
         if q["holds_hands_on"]}
    )  # fmt: skip
    if not found.now.hands_on and status(resolver, found) == ASK_FIRST:
        plural = "" if owed == 1 else "s"
        before = "this contact ends" if found.moment == "contact" else "any hands-on care"
        return "not_settled", f"Not settled: {owed} answer{plural} before {before}"
    if found.moment == "contact" and found.next_step == "re_examine":
        return (
            "contact",
            "Nothing told at this contact is sent on. Examine again at the next visit, before "
            "anything strong. Repeat the safety net.",
        )
    if found.moment == "contact":
        return (
            "contact",
            "Nothing recorded at this contact changes the plan. Repeat the safety net.",
        )
    if found.moment == "after_session":
        return "after_session", "Session closed: record pain, guarding and how it settles."
    if found.now.hands_on:
        titles = {rung.name: rung.title for rung in program.ladder.rungs}
        start, most = titles[found.now.start_at], titles[found.now.up_to]
        if found.now.start_at == found.now.up_to:
            return "hands_on", f"Hands-on today: {start}, no higher"
        return "hands_on", f"Hands-on today: start at {start}, no higher than {most}"
    if found.barred_levels:
        levels = ", ".join(found.barred_levels)
        return "no_segment", f"No hands-on step is open at {levels}: exercise; see what bars it"
    return "no_segment", "No segment to treat: exercise; look at hip, pelvis, other cause"


def _why(found: Found, referrals: list[Referral], urgency: str) -> str:
    titles = [
        f"possible {c['title'][0].lower()}{c['title'][1:]}"
        for c in found.concerns
        if c["level"]["least_careful"] in ("high", "emergency")
    ]
    if not titles:
        titles = [r["title"] for r in referrals if r["urgency"]["least_careful"] == urgency]
    return ", ".join(titles) + ". Outside the scope of this service: stop, refer."
