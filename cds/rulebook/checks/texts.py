"""Placeholders: `{side}`, `{other_side}` and `{level}` stand only where one is known.

A rule's own words know what its `for_each` runs over. A card is for one level and the side of its
classification. An exercise or a text knows what every rule that chooses it knows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from cds.problems import Place, Problem
from cds.rulebook.book import Book, Card, Exercise, Rule, Write
from cds.rulebook.checks.names import MEMBERS
from cds.rulebook.checks.subjects import SIDE_WORDS, problem, spoken

PLACEHOLDERS = (*SIDE_WORDS, "{level}")
_BRACED = re.compile(r"\{[^{}]*\}|[{}]")


def card_texts(card: Card) -> tuple[str, ...]:
    """Everything a card says, in the order of its keys."""
    geometry = tuple(word for word in (card.lie_on, card.side_bend, card.rotate) if word)
    dose = tuple(text for _, text in card.dose)
    return (
        card.title, card.position, *geometry, *card.set_up, card.effort, *dose, card.feel,
        *card.stop, card.if_not_tolerated,
    )  # fmt: skip


def exercise_texts(exercise: Exercise) -> tuple[str, ...]:
    """Everything an exercise says."""
    return (exercise.title, *exercise.how, exercise.dose, *exercise.stop)


def check(book: Book) -> Iterator[Problem]:
    """Placeholders that do not exist, and those that nothing fills."""
    for rule in book.rules.values():
        known = _known_to(rule)
        yield from _text(f"rule `{rule.id}`", (rule.title, rule.because), rule.place, known)
    for card in book.cards.values():
        yield from _text(f"card `{card.id}`", card_texts(card), card.place, PLACEHOLDERS)
    chosen = _choosers(book)
    for exercise in book.exercises.values():
        known = _known_by_all(chosen.get(("exercise", exercise.id), []))
        texts = exercise_texts(exercise)
        yield from _text(f"exercise `{exercise.id}`", texts, exercise.place, known)
    for text in book.texts.values():
        known = _known_by_all(chosen.get(("text", text.id), []))
        yield from _text(f"text `{text.id}`", (text.say,), text.place, known)


def _known_to(rule: Rule) -> tuple[str, ...]:
    sides = SIDE_WORDS if "side" in rule.for_each else ()
    return (*sides, "{level}") if "segment" in rule.for_each else tuple(sides)


def _choosers(book: Book) -> dict[tuple[str, str], list[tuple[Rule, Write]]]:
    found: dict[tuple[str, str], list[tuple[Rule, Write]]] = {}
    for rule in book.rules.values():
        for write in rule.then:
            what = MEMBERS.get(write.conclusion)
            if what is not None:
                found.setdefault((what, write.value), []).append((rule, write))
    return found


def _known_by_all(choosers: list[tuple[Rule, Write]]) -> tuple[str, ...]:
    """What every choosing rule knows; a text nobody chooses is judged as if all were known."""
    known = set(PLACEHOLDERS)
    for rule, write in choosers:
        here = set(_known_to(rule))
        if write.reach == "case":
            here.discard("{level}")
        known &= here
    return tuple(word for word in PLACEHOLDERS if word in known)


def _text(
    what: str, texts: tuple[str, ...], place: Place | None, known: tuple[str, ...]
) -> Iterator[Problem]:
    for text in texts:
        for found in _BRACED.findall(text):
            if found not in PLACEHOLDERS:
                message = f"{what} has `{found}`, which is no placeholder"
                yield problem("unknown-placeholder", message, place)
            elif found not in known:
                message = f"{what} has `{found}`, which nothing fills there"
                hint = f"here it may use {spoken(known)}" if known else None
                yield problem("misplaced-placeholder", message, place, hint)
