"""Technique cards, home exercises and sentences that prepare rules chose, with sides filled in.

The side of a card is the side of the rule instance that chose it. A card whose position family is
barred, or none of whose rungs is in today's path, is left out; so is an exercise whose load is
barred.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cds.engine.path import Resolved
from cds.engine.readings import Readings
from cds.explain.words import filled
from cds.rulebook.book import Card, Evidence, Exercise
from cds.rulebook.program import Instance, Program
from cds.vocabulary.advice import CardText, ExerciseText, SaidText, WithoutCard


def evidence_words(evidence: Iterable[Evidence]) -> list[str]:
    """Each piece of evidence as short words; a value from memory says so."""
    found = []
    for item in evidence:
        text = item.source if item.source else f"common practice: {item.common_practice}"
        if item.source and item.at:
            text = f"{item.source}, {item.at}"
        found.append(f"{text} (from memory)" if item.from_memory else str(text))
    return found


def chosen(
    program: Program, readings: Readings, conclusion: str, level: str | None
) -> list[tuple[str, Instance]]:
    """(member, choosing instance) of a set, once each, in the program's order of members."""
    slot = readings.slot(conclusion, None, level)
    if slot is None:
        return []
    found: list[tuple[str, Instance]] = []
    seen: set[tuple[str, str | None]] = set()
    for number, position in sorted(readings.members(slot), key=lambda pair: (pair[1], pair[0])):
        instance = program.instances[number]
        member = slot.values[position]
        if (member, instance.side) not in seen:
            seen.add((member, instance.side))
            found.append((member, instance))
    return found


def cards(
    program: Program, readings: Readings, resolved: Resolved, level: str
) -> tuple[list[CardText], list[CardText]]:
    """The cards for one level's path today, and those for the same rungs in another position.

    A card that stands in for another is an alternative for the rungs that the other covers today,
    and a card of its own for the rest: all of them where the position of the other is barred.
    """
    limits = resolved.level_limits[level]
    steps = resolved.paths[level].steps
    picked = [
        (program.cards[member], instance.side)
        for member, instance in chosen(program, readings, "cards", level)
    ]
    open_cards = [(card, side) for card, side in picked if _open(card.positions, limits)]
    covered: set[tuple[str, str | None, str]] = set()  # family of cards, side, rung
    shown: list[tuple[int, CardText]] = []
    others: list[tuple[int, CardText]] = []
    for card, side in sorted(open_cards, key=lambda entry: entry[0].instead_of is not None):
        first = card.instead_of or card.id
        rungs = [rung for rung in steps if rung in card.rungs]
        own = [rung for rung in rungs if (first, side, rung) not in covered]
        covered.update((first, side, rung) for rung in rungs)
        other = [rung for rung in rungs if rung not in own]
        for found, some in ((shown, own), (others, other)):
            if some:
                found.append((steps.index(some[0]), _card(card, some, level, side)))
    # in the order in which the path reaches them
    return _in_order(shown), _in_order(others)


def _in_order(found: list[tuple[int, CardText]]) -> list[CardText]:
    return [text for _, text in sorted(found, key=lambda entry: entry[0])]


def without_card(
    program: Program, readings: Readings, resolved: Resolved, level: str
) -> list[WithoutCard]:
    """The rungs of one level's path that no open card covers, and why; never silently left out."""
    limits = resolved.level_limits[level]
    steps = resolved.paths[level].steps
    picked = [program.cards[member] for member, _ in chosen(program, readings, "cards", level)]
    found: list[WithoutCard] = []
    for rung in steps:
        covering = [card for card in picked if rung in card.rungs]
        if any(_open(card.positions, limits) for card in covering):
            continue
        barred = sorted({p for card in covering for p in card.positions if not _open((p,), limits)})
        titles = ", ".join(program.ladder.family(name).title.lower() for name in barred)
        reason = (
            f"its card needs a position that is barred today: {titles}"
            if barred
            else "the rule book has no card for what was found here; look before you treat"
        )
        found.append({"rung": rung, "reason": reason})
    return found


def exercises(
    program: Program, readings: Readings, resolved: Resolved, levels: list[str]
) -> list[ExerciseText]:
    """The home programme: case exercises first, then those of the treated levels."""
    found: list[ExerciseText] = []
    for level in (None, *levels):
        limits = resolved.case_limits if level is None else resolved.level_limits[level]
        for member, instance in chosen(program, readings, "exercises", level):
            exercise = program.exercises[member]
            # once for each side, not once for each level: the patient does it either way
            known = any(e["id"] == member and e.get("side") == instance.side for e in found)
            if _open(exercise.loads, limits) and not known:
                found.append(_exercise(exercise, level, instance.side))
    return found


def said(
    program: Program, readings: Readings, conclusion: str, levels: list[str]
) -> list[SaidText]:
    """The sentences of one kind, case first."""
    found: list[SaidText] = []
    for level in (None, *levels):
        for member, instance in chosen(program, readings, conclusion, level):
            entry: SaidText = {
                "id": member,
                "text": filled(program.texts[member].say, level, instance.side),
                "rule": instance.rule,
            }
            if level is not None:
                entry["level"] = level
            if all(e["text"] != entry["text"] for e in found):
                found.append(entry)
    return found


def _open(families: Iterable[str], limits: Mapping[str, int]) -> bool:
    return all(limits[family] > 0 for family in families)


def _card(card: Card, rungs: list[str], level: str, side: str | None) -> CardText:
    def fill(text: str) -> str:
        return filled(text, level, side)

    found: CardText = {
        "id": card.id,
        "title": fill(card.title),
        "rungs": rungs,
        "position": fill(card.position),
        "set_up": [fill(text) for text in card.set_up],
        "effort": fill(card.effort),
        # a dose named after a rung belongs to that rung alone: never show one above today's path
        "dose": {n: fill(text) for n, text in card.dose if dose_rung(card, n) in (None, *rungs)},
        "feel": fill(card.feel),
        "stop": [fill(text) for text in card.stop],
        "if_not_tolerated": fill(card.if_not_tolerated),
        "evidence": evidence_words(card.evidence),
    }
    if side is not None:
        found["side"] = side
    return found


def dose_rung(card: Card, name: str) -> str | None:
    """The rung that a dose word belongs to: the one it names, or begins with and an underscore."""
    if name in card.rungs:
        return name
    return next((rung for rung in card.rungs if name.startswith(f"{rung}_")), None)


def _exercise(exercise: Exercise, level: str | None, side: str | None) -> ExerciseText:
    def fill(text: str) -> str:
        return filled(text, level, side)

    found: ExerciseText = {
        "id": exercise.id,
        "title": fill(exercise.title),
        "how": [fill(text) for text in exercise.how],
        "dose": fill(exercise.dose),
        "stop": [fill(text) for text in exercise.stop],
        "evidence": evidence_words(exercise.evidence),
    }
    if level is not None:
        found["level"] = level
    if side is not None:
        found["side"] = side
    return found
