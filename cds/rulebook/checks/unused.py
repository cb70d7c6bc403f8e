"""Nothing is declared that nothing uses: no idle question, no conclusion without a reader."""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book, Card, Exercise, PolicyChoice, Rule, Text
from cds.rulebook.checks.names import MEMBERS
from cds.rulebook.checks.subjects import (
    concluded,
    finding_condition,
    problem,
    slot_read,
    slot_written,
)
from cds.rulebook.conditions import Leaf, Source, leaves
from cds.vocabulary.model import Combine
from cds.vocabulary.values import Op

READ_BY_CODE = frozenset({"gentle_first"})
"""Policy choices that the ladder resolver reads."""

EFFECTIVE = ("limit", "target")
"""Conclusions that stand even where no rule writes them: their `otherwise` is what is offered."""


def check(book: Book) -> Iterator[Problem]:
    """Unused findings, conclusions, policy choices, sources, cards, exercises and texts."""
    yield from _findings(book)
    yield from _conclusions(book)
    yield from _policy(book)
    yield from _sources(book)
    yield from _chosen(book)


def _leaves(book: Book) -> Iterator[Leaf]:
    for rule in book.rules.values():
        yield from leaves(rule.when)
    for finding in book.findings.values():
        condition = finding_condition(finding)
        if condition is not None:
            yield from leaves(condition)


def _findings(book: Book) -> Iterator[Problem]:
    used = {leaf.name for leaf in _leaves(book) if leaf.source is Source.FINDING}
    for finding in book.findings.values():
        used.update(finding.voided_by, finding.unchanged_not_with)
        used.update(name for name, _ in finding.good_for.with_)
    for feature in book.features.values():
        used.update(feature.reads)
    for finding in book.findings.values():
        if finding.name not in used:
            yield problem("unused-finding", f"nothing reads `{finding.name}`", finding.place)


def _conclusions(book: Book) -> Iterator[Problem]:
    written = [
        (slot_written(write), write.value) for rule in book.rules.values() for write in rule.then
    ]
    slots = {slot for slot, _ in written}
    names = {slot.conclusion for slot in slots}
    reads = [leaf for leaf in _leaves(book) if leaf.source is Source.CONCLUSION]
    read = {slot_read(leaf).conclusion for leaf in reads}
    for conclusion in book.conclusions.values():
        if conclusion.place is None:
            continue  # built in: code reads it
        if conclusion.name not in names:
            message = f"no rule writes `{conclusion.name}`"
            yield problem("never-written", message, conclusion.place)
        elif conclusion.name not in read and not conclusion.output:
            message = f"nothing reads `{conclusion.name}`"
            yield problem("never-read", message, conclusion.place)
    for leaf in reads:
        known = concluded(book, leaf)
        slot = slot_read(leaf)
        if known is None or known.name in EFFECTIVE or bool(slot.key) is not bool(known.keys):
            continue
        if slot.key and slot.key not in known.keys:
            continue
        if slot not in slots:
            if known.name in names or known.place is None:
                yield problem("never-written", f"no rule writes `{leaf.name}`", leaf.place)
            continue
        if known.combine in (Combine.SET, Combine.SINGLE) and leaf.op is not Op.EMPTY:
            concluded_values = {value for other, value in written if other == slot}
            for word in leaf.words:
                if _never(word, concluded_values) and word in known.values_of(slot.key):
                    message = f"no rule writes `{word}` to `{leaf.name}`"
                    yield problem("never-written", message, leaf.place)


def _never(word: str, values: set[str]) -> bool:
    return word not in values and not any(value.startswith("{") for value in values)


def _policy(book: Book) -> Iterator[Problem]:
    used = set(READ_BY_CODE)
    for leaf in _leaves(book):
        used.add(leaf.name if leaf.source is Source.POLICY else leaf.policy or "")
    for choice in book.policy.values():
        if choice.id not in used:
            yield problem("unused-policy", f"nothing reads policy `{choice.id}`", choice.place)


def _sources(book: Book) -> Iterator[Problem]:
    resting: tuple[Rule | Card | Exercise | Text | PolicyChoice, ...] = (
        *book.rules.values(), *book.cards.values(), *book.exercises.values(),
        *book.texts.values(), *book.policy.values(),
    )  # fmt: skip
    cited = {entry.source for thing in resting for entry in thing.evidence}
    for source in book.sources.values():
        if source.id not in cited:
            yield problem("never-cited", f"nothing cites `{source.id}`", source.place)


def _chosen(book: Book) -> Iterator[Problem]:
    chosen = {
        (MEMBERS[write.conclusion], write.value)
        for rule in book.rules.values()
        for write in rule.then
        if write.conclusion in MEMBERS
    }
    things = (
        *(("card", card.id, card.place) for card in book.cards.values()),
        *(("exercise", exercise.id, exercise.place) for exercise in book.exercises.values()),
        *(("text", text.id, text.place) for text in book.texts.values()),
    )
    for what, name, place in things:
        if (what, name) not in chosen:
            yield problem("never-chosen", f"no rule chooses {what} `{name}`", place)
