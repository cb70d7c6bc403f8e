"""Left and right are never written out, so that a mirrored patient gets the mirrored advice.

Sided sources declare their mirror; rules, cards, exercises and texts speak of `{side}` and
`{other_side}`. What is truly different left and right says so under `asymmetric`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from cds.problems import Place, Problem
from cds.rulebook.book import Book, Rule
from cds.rulebook.checks.subjects import measured, problem, writes
from cds.rulebook.checks.texts import card_texts, exercise_texts
from cds.rulebook.conditions import Leaf, leaves
from cds.vocabulary.model import Conclusion, Feature, Finding

_SIDE = re.compile(r"\b(left|right)\b", re.IGNORECASE)
_TOKEN = re.compile(r"(?<![A-Za-z0-9])(?:left|right)(?![A-Za-z0-9])")
_SWAP = {"left": "right", "right": "left"}


def check(book: Book) -> Iterator[Problem]:
    """Sided literals, and sided values and names without their mirror."""
    for finding in book.findings.values():
        yield from _declared(book, finding, finding.place)
    for feature in book.features.values():
        yield from _declared(book, feature, None)
    for conclusion in book.conclusions.values():
        yield from _values(conclusion)
    for rule in book.rules.values():
        if rule.asymmetric is None:
            yield from _rule(book, rule)
    for card in book.cards.values():
        if card.asymmetric is None:
            yield from _texts(f"card `{card.id}`", card_texts(card), card.place)
    for exercise in book.exercises.values():
        if exercise.asymmetric is None:
            yield from _texts(f"exercise `{exercise.id}`", exercise_texts(exercise), exercise.place)
    for text in book.texts.values():
        yield from _texts(f"text `{text.id}`", (text.say,), text.place)


def mirrored_word(word: str) -> str:
    """The word or name with `left` and `right` exchanged wherever they stand as words of it."""
    return _TOKEN.sub(lambda found: _SWAP[found.group()], word)


def _declared(book: Book, source: Finding | Feature, place: Place | None) -> Iterator[Problem]:
    mirror = dict(source.mirror)
    for word in source.values:
        if mirrored_word(word) != word and word not in mirror:
            message = f"`{source.name}` has the value `{word}` without a mirror"
            yield problem("mirror-incomplete", message, place)
    other = mirrored_word(source.name)
    if other != source.name and other not in book.findings and other not in book.features:
        message = f"`{source.name}` stands without `{other}`"
        hint = f"declare `{other}`, or one name with the sides as values"
        yield problem("mirror-incomplete", message, place, hint)


def _values(conclusion: Conclusion) -> Iterator[Problem]:
    names = conclusion.values + conclusion.keys if conclusion.place else ()
    for word in names:
        other = mirrored_word(word)
        if other != word and other not in names:
            message = f"`{conclusion.name}` has `{word}` without `{other}`"
            yield problem("mirror-incomplete", message, conclusion.place, f"add `{other}`")


def _rule(book: Book, rule: Rule) -> Iterator[Problem]:
    what = f"rule `{rule.id}`"
    for leaf in leaves(rule.when):
        word = _sided_operand(book, leaf)
        if word is not None:
            message = f"{what} tests `{leaf.name}` for `{word}`"
            yield problem("sided-literal", message, leaf.place)
        elif mirrored_word(leaf.name) != leaf.name:
            message = f"{what} reads `{leaf.name}`, which has a side in its name"
            yield problem("sided-literal", message, leaf.place)
    for write in writes(rule):
        for word in (write.value, write.key or ""):
            if mirrored_word(word) != word:
                message = f"{what} writes `{word}` to `{write.conclusion}`"
                yield problem("sided-literal", message, write.place)
    yield from _texts(what, (rule.title, rule.because), rule.place)


def _sided_operand(book: Book, leaf: Leaf) -> str | None:
    """The first operand that is another word in the mirror."""
    source = measured(book, leaf)
    mirror = dict(source.mirror) if source is not None else {}
    # a list that names both sides says the same in the mirror
    mirrored = {mirror.get(word) or mirrored_word(word) for word in leaf.words}
    if mirrored == set(leaf.words):
        return None
    return next(w for w in leaf.words if (mirror.get(w) or mirrored_word(w)) != w)


def _texts(what: str, texts: tuple[str, ...], place: Place | None) -> Iterator[Problem]:
    for text in texts:
        found = _SIDE.search(text)
        if found:
            yield problem("sided-literal", f"{what} says `{found.group()}`", place)
            return
