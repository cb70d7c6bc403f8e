"""Open questions, ordered by how much they could change.

A question is an unrecorded finding in an undecided branch of an open rule that matters: one that,
by
itself or through rules that read it, could still move care, a referral, a limit, an indication or
the target from where fired rules have put it. Order: worst urgency and care it could bring, lowest
limit, number of open rules, vocabulary order.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from cds.engine.readings import Readings
from cds.explain.deciding import Truth, deciding
from cds.explain.effects import Effects
from cds.rulebook.program import Instance, Program
from cds.vocabulary.advice import OpenQuestion
from cds.vocabulary.applies import names as applies_names
from cds.vocabulary.model import CARE, URGENCIES, Careful, at_level
from cds.vocabulary.values import Missing, Tri


@dataclass(slots=True)
class _Asked:
    urgency: int = 0
    care: int = 0
    lowest: int | None = None
    owed: bool = False
    holds: bool = False
    rules: set[str] = field(default_factory=set)


def open_questions(
    program: Program,
    readings: Readings,
    effects: Effects,
    truth: Truth,
    missing: Mapping[str, Missing],
) -> list[OpenQuestion]:
    """All open questions of one evaluation, the most consequential first."""
    asked: dict[str, _Asked] = {}
    hands_on = {f.name for f in program.ladder.of_group("hands_on")}
    named: dict[str, list[str]] = {}
    for number in readings.outcome.open:
        instance = program.instances[number]
        if instance.prepare or not _matters(readings, effects, number):
            continue
        effect = effects.of(number)
        holds = _bars_all(program, instance, hands_on)
        for name in _unknown(program, instance, truth, missing, named):
            entry = asked.setdefault(name, _Asked())
            entry.urgency = max(entry.urgency, effect.urgency)
            entry.care = max(entry.care, effect.care)
            if effect.lowest is not None:
                entry.lowest = min(effect.lowest, entry.lowest if entry.lowest is not None else 99)
            entry.owed = entry.owed or bool(instance.holds)
            entry.holds = entry.holds or holds
            entry.rules.add(instance.rule)
    place = {name: i for i, name in enumerate((*program.findings, *program.features))}
    ordered = sorted(
        asked.items(),
        key=lambda item: (
            -item[1].urgency,
            -item[1].care,
            99 if item[1].lowest is None else item[1].lowest,
            -len(item[1].rules),
            place.get(item[0].partition("@")[0], len(place)),
            item[0],
        ),
    )
    return [_question(program, name, entry, missing) for name, entry in ordered]


def _bars_all(program: Program, instance: Instance, hands_on: set[str]) -> bool:
    barred = {
        program.slots[w.slot].key
        for w in instance.holds
        if program.slots[w.slot].conclusion == "limit" and w.value == 0
    }
    care = any(
        program.slots[w.slot].conclusion == "care_today" and w.value == len(CARE) - 1
        for w in instance.holds
    )
    return care or hands_on <= barred


def _matters(readings: Readings, effects: Effects, number: int) -> bool:
    for slot_number, value in effects.of(number).writes:
        slot = readings.program.slots[slot_number]
        at = readings.bounds(slot).least_careful
        if slot.careful is Careful.MORE:
            if (value < at) if slot.conclusion == "limit" else (value > at):
                return True
        elif value > readings.bounds(slot).now:
            return True
    return False


def _unknown(
    program: Program,
    instance: Instance,
    truth: Truth,
    missing: Mapping[str, Missing],
    named: dict[str, list[str]],
) -> list[str]:
    """What the instance waits for; `named` keeps what stands behind each input, for all rules."""
    found: list[str] = []
    for read, value in deciding(program, instance, truth)[1]:
        if value is not Tri.UNKNOWN or read.input is None:
            continue
        names = named.get(read.input)
        if names is None:
            names = named[read.input] = _behind(program, read.input, missing)
        found.extend(names)
    return found


def _behind(program: Program, name: str, missing: Mapping[str, Missing]) -> list[str]:
    """The findings to ask for an unknown input: itself, or what a feature is computed from."""
    base, _, level = name.partition("@")
    feature = program.features.get(base)
    if feature is None:
        if base in program.findings:
            return _asked_first(program, name, missing) or [name]
        return []
    names = [at_level(n, level if n.startswith("segment.") else None) for n in feature.reads]
    return [n for n in names if n in missing] or [name]


def _asked_first(program: Program, name: str, missing: Mapping[str, Missing]) -> list[str]:
    """What decides whether the finding applies at all, where that is not known yet: asked
    instead."""
    base, _, level = name.partition("@")
    condition = program.findings[base].applies_when
    if condition is None:
        return []
    names = set(applies_names(condition))
    grounded = (at_level(n, level if n.startswith("segment.") else None) for n in sorted(names))
    found: list[str] = []
    for needed in grounded:
        if needed in missing:
            found.extend(_asked_first(program, needed, missing) or [needed])
    return found


def _question(
    program: Program, name: str, entry: _Asked, missing: Mapping[str, Missing]
) -> OpenQuestion:
    base, _, level = name.partition("@")
    finding = program.findings.get(base)
    feature = program.features.get(base)
    could: dict[str, str] = {}
    if entry.urgency:
        could["referral"] = URGENCIES[entry.urgency]
    if entry.care:
        could["care_today"] = CARE[entry.care]
    if entry.lowest is not None:
        could["limit"] = "barred" if entry.lowest == 0 else "lower"
    question: OpenQuestion = {
        "finding": base,
        "ask": finding.ask if finding else f"Record: {feature.title if feature else base}",
        "reason": missing.get(name, Missing.NOT_ASKED).value,
        "alone": bool(finding and finding.ask_alone),
        "owed": entry.owed,
        "holds_hands_on": entry.holds,
        "could": could,
        "rules": sorted(entry.rules),
    }
    if level:
        question["level"] = level
    if finding is not None and finding.block is not None:
        question["block"] = finding.block
    return question
