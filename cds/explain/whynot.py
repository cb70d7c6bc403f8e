"""Why not more: for each rung above what the path allows, what keeps it shut, and which rules."""

from __future__ import annotations

from cds.engine.path import AT_MOST_TREATED, NO_SKIP, Resolved, Resolver
from cds.engine.readings import Readings
from cds.explain.words import word
from cds.rulebook.program import Program
from cds.vocabulary.advice import WhyNot
from cds.vocabulary.model import CARE, URGENCIES


def why_not(
    program: Program, resolver: Resolver, readings: Readings, resolved: Resolved, levels: list[str]
) -> list[WhyNot]:
    """For each level, every hands-on rung above its up_to, from the nearest up, with all its
    keepers."""
    found: list[WhyNot] = []
    for level in levels:
        path = resolved.paths[level]
        for rung in program.ladder.rungs:
            if rung.name not in resolver.needs or rung.name in path.steps:
                continue
            if resolver.place[rung.name] < resolver.place[path.up_to]:
                continue
            found.extend(_keepers(program, resolver, readings, resolved, level, rung.name))
    return found


def _keepers(
    program: Program,
    resolver: Resolver,
    readings: Readings,
    resolved: Resolved,
    level: str,
    rung: str,
) -> list[WhyNot]:
    family, need = resolver.needs[rung]
    found: list[WhyNot] = []

    def add(kind: str, rules: set[str], text: str) -> None:
        found.append(
            {"level": level, "rung": rung, "kind": kind, "rules": sorted(rules), "text": text}
        )

    if resolved.urgency >= resolver.urgent:
        rules = _strong(program, readings, "referral", resolver.urgent)
        add(
            "referral",
            rules,
            f"A referral that is {word(URGENCIES[resolved.urgency])} comes first.",
        )
    if resolved.care >= resolver.no_hands_on:
        rules = _strong(program, readings, "care_today", resolver.no_hands_on)
        add("care", rules, f"Care today is {word(CARE[resolved.care])}.")
    for where in (None, level):
        slot = readings.slot("limit", family, where)
        if slot is None:
            continue
        said = readings.said(slot)
        for status, entries in (("limit", said.fired), ("held", said.held)):
            rules = {program.instances[n].rule for n, value in entries if value < need}
            if rules:
                verb = (
                    "bars it" if status == "limit" else "is held until its questions are answered"
                )
                add(status, rules, f"The limit on {program.ladder.family(family).title} {verb}.")
    slot = readings.slot("indication", family, level)
    if slot is None or not readings.said(slot).fired:
        could = {program.instances[n].rule for n in slot.writers} if slot is not None else set()
        add("indication", could, "Nothing recorded indicates it at this level.")
    if resolver.place[rung] > resolved.targets[level]:
        rules = set()
        for where in (None, level):
            target = readings.slot("target", None, where)
            if target is not None:
                rules |= {program.instances[n].rule for n, _ in readings.said(target).fired}
        add("target", rules, "Above the rung that response and need call for today.")
    below = program.ladder.rung_names[resolver.place[rung] - 1]
    if rung in NO_SKIP and not found and below in resolved.paths[level].steps:
        add(
            "session",
            set(),
            f"At most {AT_MOST_TREATED} levels are treated in a session, and thrust is used in one "
            "region of the spine; it is not this level's turn.",
        )
    if rung in NO_SKIP and not found and not resolved.capped:
        add("below", set(), f"The rung directly below, {word(below)}, is not open.")
    if not found:
        add("moment", set(), "Treatment is not under way at this moment.")
    return found


def _strong(program: Program, readings: Readings, conclusion: str, least: int) -> set[str]:
    found: set[str] = set()
    for slot in program.slots:
        if slot.conclusion == conclusion and slot.level is None:
            said = readings.said(slot)
            found |= {
                program.instances[n].rule for n, value in said.fired + said.held if value >= least
            }
    return found
