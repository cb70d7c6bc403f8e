"""Everything clinical names what it rests on, who answers for it and when it is looked at again."""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book, Card, Evidence, Exercise, PolicyChoice, Rule, Text
from cds.rulebook.checks.subjects import problem
from cds.rulebook.suggest import did_you_mean

Owned = Rule | Card | Exercise
Resting = Owned | PolicyChoice | Text


def check(book: Book) -> Iterator[Problem]:
    """Missing evidence, owners, dates and bases; sources that are not listed."""
    for rule in book.rules.values():
        yield from _owned(book, "rule", rule)
        if rule.approved and rule.review_by and rule.review_by <= rule.approved:
            message = f"rule `{rule.id}` is due for review before it was approved"
            yield problem("review-before-approval", message, rule.place)
        if rule.basis is None:
            for write in rule.then + rule.holds:
                if write.conclusion == "limit":
                    message = f"rule `{rule.id}` limits without a `basis`"
                    yield problem("missing-basis", message, rule.place)
                    break
    for card in book.cards.values():
        yield from _owned(book, "card", card)
    for exercise in book.exercises.values():
        yield from _owned(book, "exercise", exercise)
    for choice in book.policy.values():
        yield from _rests(book, "policy choice", choice)
    for text in book.texts.values():
        if any(character.isdigit() for character in text.say):
            yield from _rests(book, "text", text)
        else:
            yield from _sources(book, text.evidence)


def _owned(book: Book, what: str, thing: Owned) -> Iterator[Problem]:
    yield from _rests(book, what, thing)
    if not thing.owner:
        yield problem("missing-owner", f"{what} `{thing.id}` has no owner", thing.place)
    if thing.review_by is None:
        message = f"{what} `{thing.id}` has no review date"
        yield problem("missing-review-date", message, thing.place)


def _rests(book: Book, what: str, thing: Resting) -> Iterator[Problem]:
    if not thing.evidence:
        message = f"{what} `{thing.id}` names no evidence"
        yield problem("missing-evidence", message, thing.place)
    yield from _sources(book, thing.evidence)


def _sources(book: Book, evidence: tuple[Evidence, ...]) -> Iterator[Problem]:
    for entry in evidence:
        if entry.source is not None and entry.source not in book.sources:
            near = did_you_mean(entry.source, book.sources)
            hint = f"did you mean `{near}`?" if near else None
            message = f"there is no source `{entry.source}`"
            yield problem("unknown-source", message, entry.place, hint)
