"""Referrals, concerns, the next step, and the sources an advice rests on, read off the slots."""

from __future__ import annotations

from typing import TypedDict

from cds.engine.readings import Readings
from cds.explain.headline import ASK_FIRST, STOPPED
from cds.explain.limits import scale
from cds.explain.words import filled
from cds.rulebook.program import Program, Slot
from cds.vocabulary.advice import Advice, Concern, NextStep, Referral, Scale, SourceText
from cds.vocabulary.model import CARE

WITHIN = {
    "none": "",
    "routine": "within weeks",
    "urgent": "within days",
    "same_day": "today",
    "emergency": "now",
}
"""Usual time by urgency where a rule names none (common practice)."""

FORWARD = ("discharge", "progress")
"""Next steps that claim something: they stand only where nothing open holds the path or care."""


class Bars(TypedDict):
    """Whether fired rules bar all hands-on care, and their titles."""

    bars_all: bool
    bar_titles: list[str]


def care(readings: Readings) -> Scale:
    """Care today; `proceed` where no rule of the book ever writes it."""
    slot = readings.slot("care_today")
    if slot is None:
        return {"now": CARE[0], "most_careful": CARE[0], "least_careful": CARE[0]}
    return scale(readings, slot)


def referrals(program: Program, readings: Readings) -> list[Referral]:
    """Every referral that a rule makes, holds or could still make, the most urgent now first."""
    found: list[tuple[int, int, Referral]] = []
    for slot in program.slots:
        if slot.conclusion != "referral":
            continue
        said = readings.said(slot)
        if not (said.fired or said.held or said.could):
            continue
        bounds = readings.bounds(slot)
        entries = said.fired + said.held
        # a rule that fired speaks by its `then` alone, an open one by what it holds
        writes = [w for number, _ in said.fired for w in program.instances[number].then]
        writes += [w for number, _ in said.held for w in program.instances[number].holds]
        now = (slot.number, bounds.now)
        within = next((w.within for w in writes if (w.slot, w.value) == now and w.within), None)
        referral: Referral = {
            "to": slot.key or "",
            "title": program.destinations.get(slot.key or "", slot.key or ""),
            "urgency": scale(readings, slot),
            "within": within or WITHIN[slot.values[bounds.now]],
            "rules": sorted({program.instances[n].rule for n, _ in entries}),
            "held_only": not said.fired,
        }
        found.append((-bounds.now, slot.number, referral))
    return [referral for _, _, referral in sorted(found, key=lambda item: item[:2])]


def concerns(program: Program, readings: Readings) -> list[Concern]:
    """Every condition some rule raised concern for or could still raise it for, the highest
    first."""
    found: list[tuple[int, int, Concern]] = []
    for slot in program.slots:
        if slot.conclusion != "concern":
            continue
        said = readings.said(slot)
        if not (said.fired or said.held or said.could):
            continue
        concern: Concern = {
            "condition": slot.key or "",
            "title": program.concerns.get(slot.key or "", slot.key or ""),
            "level": scale(readings, slot),
            "rules": sorted({program.instances[n].rule for n, _ in said.fired + said.held}),
        }
        found.append((-readings.bounds(slot).now, slot.number, concern))
    return [concern for _, _, concern in sorted(found, key=lambda item: item[:2])]


def bars_all(program: Program, readings: Readings) -> Bars:
    """Whether fired rules alone bar every hands-on family for the case, or set care to no
    hands-on."""
    instances: set[int] = set()
    slot = readings.slot("care_today")
    stopping = CARE.index("no_hands_on")
    said = readings.said(slot).fired if slot is not None else []
    fired = {n for n, value in said if value >= stopping}
    instances |= fired
    whole = bool(fired)
    barred = []
    for family in program.ladder.of_group("hands_on"):
        slot = readings.slot("limit", family.name)
        hits = {n for n, value in readings.said(slot).fired if value == 0} if slot else set()
        barred.append(hits)
    if barred and all(barred):
        whole = True
        instances |= set.intersection(*barred) or set.union(*barred)
    titles: list[str] = []
    for number in sorted(instances):
        instance = program.instances[number]
        title = filled(program.rules[instance.rule].title, instance.level, instance.side)
        if title not in titles:
            titles.append(title)
    return {"bars_all": whole, "bar_titles": titles}


def next_step(program: Program, readings: Readings, status: str) -> NextStep:
    """What the course does next.

    A step forward (progress, discharge) does not stand beside questions that still hold the path or
    care: until they are answered the course continues, and `once_answered` names the step. Where
    the visit is stopped the course is held.
    """
    slot: Slot | None = readings.slot("next_step")
    if slot is None:
        return {"step": "continue", "rules": []}
    at = readings.bounds(slot).now
    rules = {program.instances[n].rule for n, value in readings.said(slot).fired if value == at}
    step = slot.values[at]
    if step in FORWARD and status == STOPPED:
        return {"step": "hold", "rules": []}
    if step in FORWARD and status == ASK_FIRST:
        return {"step": "continue", "rules": [], "once_answered": step}
    return {"step": step, "rules": sorted(rules)}


def cited_sources(program: Program, advice: Advice) -> list[SourceText]:
    """The sources the steps and cards of this advice rest on, by id."""
    ids = {source for step in advice["chain"]["steps"] for source in step["sources"]}
    for segment in advice["segments"]:
        for card in [*segment["cards"], *segment["alternatives"]]:
            ids |= {e.source for e in program.cards[card["id"]].evidence if e.source}
    for exercise in advice["home"]:
        ids |= {e.source for e in program.exercises[exercise["id"]].evidence if e.source}
    found: list[SourceText] = []
    for source in sorted(ids):
        entry = program.sources[source]
        text: SourceText = {"id": source, "title": entry.title, "status": entry.status}
        if entry.year is not None:
            text["year"] = entry.year
        found.append(text)
    return found
