"""A book with everything put in an order that does not depend on how it was written.

What YAML writes as a mapping has no order of its own: findings, rules, families, keys of a slot,
what one `then` writes. Here each gets one, so that two books with the same meaning are equal, their
digests are, and so is every byte of their advice. Lists keep their order, and so does the ladder,
whose order is its meaning.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from cds.rulebook.book import Book, Card, PolicyChoice, Rule, Write
from cds.vocabulary.model import Conclusion, Finding, GoodFor, Ladder

T = TypeVar("T")


def normal_book(book: Book) -> Book:
    """The same book in its normal order; does nothing to a book that has it."""
    ladder = _ladder(book.ladder)
    return replace(
        book,
        findings={name: _finding(entry) for name, entry in by_id(book.findings).items()},
        features=by_id(book.features),
        conclusions={
            name: _conclusion(entry, ladder) for name, entry in by_id(book.conclusions).items()
        },
        destinations=by_id(book.destinations),
        concerns=by_id(book.concerns),
        ladder=ladder,
        policy={name: _policy(entry) for name, entry in by_id(book.policy).items()},
        blocks=by_id(book.blocks),
        rules={name: _rule(entry) for name, entry in by_id(book.rules).items()},
        cards={name: _card(entry) for name, entry in by_id(book.cards).items()},
        exercises=by_id(book.exercises),
        texts=by_id(book.texts),
        sources=by_id(book.sources),
        positional=tuple(sorted(book.positional, key=lambda row: row.number)),
        parameters=by_id(book.parameters),
    )


def by_id(entries: Mapping[str, T]) -> dict[str, T]:
    """The same entries in order of their ids."""
    return {key: entries[key] for key in sorted(entries)}


def _ladder(ladder: Ladder) -> Ladder:
    """Families in order of their first rung; those without rungs after them, by name."""
    place = {rung: index for index, rung in enumerate(ladder.rung_names)}
    families = []
    for family in ladder.families:
        rungs = tuple(sorted(family.rungs, key=lambda pair: (place.get(pair[0], -1), pair)))
        first = place.get(rungs[0][0], -1) if rungs else len(place)
        families.append((first, family.name, replace(family, rungs=rungs)))
    return replace(ladder, families=tuple(entry for _, _, entry in sorted(families, key=_first)))


def _first(entry: tuple[int, str, object]) -> tuple[int, str]:
    return entry[:2]


def _conclusion(conclusion: Conclusion, ladder: Ladder) -> Conclusion:
    """Keys in order of the ladder's families where they are families, else by name."""
    place = {family.name: index for index, family in enumerate(ladder.families)}

    def order(key: str) -> tuple[int, str]:
        return place.get(key, len(place)), key

    return replace(
        conclusion,
        keys=tuple(sorted(conclusion.keys, key=order)),
        key_values=tuple(sorted(conclusion.key_values, key=lambda pair: order(pair[0]))),
    )


def _finding(finding: Finding) -> Finding:
    return replace(
        finding,
        mirror=tuple(sorted(finding.mirror)),
        voided_by=tuple(sorted(finding.voided_by)),
        good_for=_good_for(finding.good_for),
    )


def _good_for(good: GoodFor) -> GoodFor:
    tighter = sorted(good.with_, key=lambda pair: pair[0])
    return replace(good, with_=tuple((name, _good_for(period)) for name, period in tighter))


def _policy(choice: PolicyChoice) -> PolicyChoice:
    return replace(choice, refused=tuple(sorted(choice.refused)))


def _card(card: Card) -> Card:
    return replace(card, dose=tuple(sorted(card.dose)))


def _rule(rule: Rule) -> Rule:
    return replace(
        rule,
        then=tuple(sorted(rule.then, key=_write_order)),
        holds=tuple(sorted(rule.holds, key=_write_order)),
    )


def _write_order(write: Write) -> tuple[str, str, str, str, str]:
    return (write.conclusion, write.reach, write.key or "", write.value, write.within or "")
