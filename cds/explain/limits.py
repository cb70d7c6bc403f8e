"""Limits per family with the rules that hold them; contraindication and local policy kept apart."""

from __future__ import annotations

from cds.engine.readings import Readings
from cds.explain.words import filled
from cds.rulebook.book import Basis
from cds.rulebook.program import Program, Slot
from cds.vocabulary.advice import Holder, Limit, Scale
from cds.vocabulary.model import Family

_CONTRAINDICATION = (Basis.CONTRAINDICATION, Basis.PRECAUTION)


def limits(program: Program, readings: Readings, levels: tuple[str, ...]) -> list[Limit]:
    """Every limit that some rule lowers or holds: case first, then levels, families as declared."""
    found: list[Limit] = []
    for level in (None, *levels):
        for family in program.ladder.families:
            slot = readings.slot("limit", family.name, level)
            if slot is None:
                continue
            said = readings.said(slot)
            if said.fired or said.held:
                found.append(_limit(program, readings, family, slot))
    return found


def scale(readings: Readings, slot: Slot) -> Scale:
    """A slot's three readings as words."""
    bounds = readings.bounds(slot)
    return {
        "now": slot.values[bounds.now],
        "most_careful": slot.values[bounds.most_careful],
        "least_careful": slot.values[bounds.least_careful],
    }


def _limit(program: Program, readings: Readings, family: Family, slot: Slot) -> Limit:
    said = readings.said(slot)
    binding = readings.bounds(slot).now
    holders: list[tuple[Basis | None, Holder]] = []
    for status, entries in (("fired", said.fired), ("held", said.held)):
        for number, value in entries:
            instance = program.instances[number]
            rule = program.rules[instance.rule]
            holder: Holder = {
                "rule": rule.id,
                "title": filled(rule.title, instance.level, instance.side),
                "status": status,
                "basis": rule.basis.value if rule.basis else "",
                "value": slot.values[value],
                "binding": value == binding,
            }
            if (rule.basis, holder) not in holders:
                holders.append((rule.basis, holder))
    limit: Limit = {
        "family": family.name,
        "title": family.title,
        "group": family.group,
        "most": scale(readings, slot),
        "contraindications": [h for b, h in holders if b in _CONTRAINDICATION],
        "policy": [h for b, h in holders if b is Basis.POLICY],
        "others": [h for b, h in holders if b not in _CONTRAINDICATION and b is not Basis.POLICY],
    }
    if slot.level is not None:
        limit["level"] = slot.level
    return limit
