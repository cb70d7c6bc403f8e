"""Every name that a rule, finding, block, card or exercise uses is declared."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cds.problems import Place, Problem
from cds.rulebook.book import Book, Rule, Write
from cds.rulebook.checks.subjects import SEGMENT, finding_condition, problem, slot_read
from cds.rulebook.conditions import Leaf, Source, leaves
from cds.rulebook.suggest import did_you_mean
from cds.vocabulary.model import Conclusion, Finding, GoodFor

MEMBERS = {
    "cards": "card",
    "exercises": "exercise",
    "cautions": "text",
    "retest": "text",
    "safety_net": "text",
    "education": "text",
    "consent_points": "text",
    "information": "text",
}
"""The built-in sets, and what their members are."""

KEYS = {"concern": "concern", "referral": "destination", "limit": "family", "indication": "family"}
"""What the keys of the built-in conclusions are."""


def check(book: Book) -> Iterator[Problem]:
    """Unknown names, with the nearest known one."""
    for finding in book.findings.values():
        yield from _finding(book, finding)
    for block in book.blocks.values():
        for name in block.findings:
            if name not in book.findings:
                yield unknown("finding", name, block.place, book.findings)
    for part in book.visit:
        for name in part.asks:
            if name not in book.findings and name not in book.blocks:
                known = (*book.findings, *book.blocks)
                yield unknown("finding or block", name, part.place, known)
    for rule in book.rules.values():
        for leaf in leaves(rule.when):
            yield from _leaf(book, leaf)
        for write in rule.then + rule.holds:
            yield from _write(book, rule, write)
    positions = [family.name for family in book.ladder.of_group("position")]
    home = [family.name for family in book.ladder.of_group("home")]
    for card in book.cards.values():
        for rung in card.rungs:
            if rung not in book.ladder.rung_names:
                yield unknown("rung", rung, card.place, book.ladder.rung_names)
        for name in card.positions:
            if name not in positions:
                yield unknown("position family", name, card.place, positions)
        if card.instead_of is not None and card.instead_of not in book.cards:
            yield unknown("card", card.instead_of, card.place, book.cards)
    for exercise in book.exercises.values():
        for name in exercise.loads:
            if name not in home:
                yield unknown("home family", name, exercise.place, home)


def unknown(what: str, name: str, place: Place | None, known: Iterable[str]) -> Problem:
    """The problem for a name that is none of the known ones."""
    choices = sorted(known)
    near = did_you_mean(name, choices)
    if near is None and not name.startswith(SEGMENT) and SEGMENT + name in choices:
        near = SEGMENT + name
    hint = f"did you mean `{near}`?" if near else None
    return problem("unknown-name", f"there is no {what} `{name}`", place, hint)


def members_of(book: Book, conclusion: Conclusion) -> tuple[str, Iterable[str]]:
    """What the members of a set are called, and which there are."""
    what = MEMBERS.get(conclusion.name, "value")
    spaces: dict[str, Iterable[str]] = {
        "card": book.cards,
        "exercise": book.exercises,
        "text": book.texts,
    }
    return what, spaces.get(what, conclusion.values)


def _finding(book: Book, finding: Finding) -> Iterator[Problem]:
    named = (*finding.voided_by, *finding.unchanged_not_with, *_shortened_by(finding.good_for))
    for name in named:
        if name not in book.findings:
            yield unknown("finding", name, finding.place, book.findings)
    if finding.block is not None and finding.block not in book.blocks:
        yield unknown("block", finding.block, finding.place, book.blocks)
    condition = finding_condition(finding)
    if condition is not None:
        for leaf in leaves(condition):
            if leaf.source is Source.FINDING:
                yield from _leaf(book, leaf)


def _shortened_by(period: GoodFor) -> Iterator[str]:
    return (name for name, _ in period.with_)


def _leaf(book: Book, leaf: Leaf) -> Iterator[Problem]:
    if leaf.policy is not None and leaf.policy not in book.policy:
        yield unknown("policy choice", leaf.policy, leaf.place, book.policy)
    if leaf.source is Source.FINDING and leaf.name not in book.findings:
        yield _elsewhere(book, leaf) or unknown("finding", leaf.name, leaf.place, book.findings)
    elif leaf.source is Source.FEATURE and leaf.name not in book.features:
        yield _elsewhere(book, leaf) or unknown("feature", leaf.name, leaf.place, book.features)
    elif leaf.source is Source.POLICY and leaf.name not in book.policy:
        yield unknown("policy choice", leaf.name, leaf.place, book.policy)
    elif leaf.source is Source.CONCLUSION:
        slot = slot_read(leaf)
        conclusion = book.conclusions.get(slot.conclusion)
        if conclusion is None:
            yield _elsewhere(book, leaf) or unknown(
                "conclusion", slot.conclusion, leaf.place, book.conclusions
            )
        else:
            yield from _key(conclusion, slot.key, leaf.place)


def _elsewhere(book: Book, leaf: Leaf) -> Problem | None:
    """The name exists, but as another kind of source: say which."""
    spaces = (("finding", book.findings), ("feature", book.features), ("policy", book.policy))
    for what, space in (*spaces, ("conclusion", book.conclusions)):
        if leaf.name in space:
            message = f"`{leaf.name}` is a {what}, not a {leaf.source}"
            return problem("unknown-name", message, leaf.place, f"write `{what}: {leaf.name}`")
    return None


def _key(conclusion: Conclusion, key: str | None, place: Place | None) -> Iterator[Problem]:
    name = conclusion.name
    if not conclusion.keys:
        if key is not None:
            yield problem("wrong-key", f"`{name}` has no keys, so not `{key}`", place)
    elif key is None:
        yield problem("wrong-key", f"`{name}` is read and written by key", place)
    elif key not in conclusion.keys:
        yield unknown(KEYS.get(name, f"key of `{name}`"), key, place, conclusion.keys)


def _write(book: Book, rule: Rule, write: Write) -> Iterator[Problem]:
    conclusion = book.conclusions.get(write.conclusion)
    if conclusion is None:
        yield unknown("conclusion", write.conclusion, write.place or rule.place, book.conclusions)
        return
    yield from _key(conclusion, write.key, write.place)
    if conclusion.name in MEMBERS:
        what, known = members_of(book, conclusion)
        if write.value not in known:
            yield unknown(what, write.value, write.place, known)
