"""The rule book as JSON for people who read it: rules in short and in full, cards, policy, sources.

Places in files are left out: they are for the authors, and not part of an edition's meaning.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, NotRequired, TypedDict

from cds.rulebook.book import Card, Evidence, Exercise, PolicyChoice, Rule, Write
from cds.rulebook.program import Program
from cds.service.condition_view import condition_json, condition_lines
from cds.service.vocabulary_view import edition_view
from cds.vocabulary.advice import Edition, SourceText


class EvidenceView(TypedDict):
    """What an entry rests on. `from_memory`: nobody has read it in its source yet."""

    source: NotRequired[str]
    at: NotRequired[str]
    common_practice: NotRequired[str]
    from_memory: NotRequired[bool]


class WriteView(TypedDict):
    """One conclusion of a rule. `reach`: the case, this level, or the levels next to it."""

    conclusion: str
    key: NotRequired[str]
    value: str
    reach: str
    within: NotRequired[str]


class RuleShort(TypedDict):
    """A rule in a list: what it is about, what it may conclude, who answers for it."""

    id: str
    title: str
    topic: str
    phase: str
    basis: NotRequired[str]
    for_each: list[str]
    concludes: list[str]
    holds_while_unknown: bool
    owner: str
    approved: NotRequired[str]
    review_by: NotRequired[str]


class RuleView(TypedDict):
    """A rule in full. `when` in the shape it is written, `when_lines` as sentences."""

    id: str
    title: str
    topic: str
    phase: str
    basis: NotRequired[str]
    for_each: list[str]
    when: dict[str, Any]
    when_lines: list[str]
    then: list[WriteView]
    while_unknown: list[WriteView]
    because: str
    evidence: list[EvidenceView]
    owner: str
    approved: NotRequired[str]
    review_by: NotRequired[str]
    asymmetric: NotRequired[str]
    edition: Edition


class PolicyView(TypedDict):
    """A choice that local governance may make, its value here, and what may not be chosen."""

    id: str
    title: str
    value: str
    values: list[str]
    low: NotRequired[int]
    high: NotRequired[int]
    reason: str
    evidence: list[EvidenceView]
    refused: dict[str, str]


class CardView(TypedDict):
    """A technique card as written, placeholders and all."""

    id: str
    title: str
    rungs: list[str]
    pattern: str
    position: str
    positions: list[str]
    set_up: list[str]
    effort: str
    dose: dict[str, str]
    feel: str
    stop: list[str]
    if_not_tolerated: str
    instead_of: NotRequired[str]
    evidence: list[EvidenceView]
    owner: str
    review_by: NotRequired[str]


class ExerciseView(TypedDict):
    """A home exercise as written."""

    id: str
    title: str
    loads: list[str]
    how: list[str]
    dose: str
    stop: list[str]
    evidence: list[EvidenceView]
    owner: str
    review_by: NotRequired[str]


class TextView(TypedDict):
    """A sentence that rules choose."""

    id: str
    say: str
    evidence: list[EvidenceView]


class RulebookView(TypedDict):
    """The edition: rules in short, and everything they choose from."""

    edition: Edition
    scope_notice: list[str]
    rules: list[RuleShort]
    policy: list[PolicyView]
    cards: list[CardView]
    exercises: list[ExerciseView]
    texts: list[TextView]
    sources: list[SourceText]


def rulebook_view(program: Program) -> RulebookView:
    """The whole rule book, rules in short."""
    return {
        "edition": edition_view(program),
        "scope_notice": list(program.scope_notice),
        "rules": [_short(rule) for rule in program.rules.values()],
        "policy": [_policy(choice) for choice in program.policy.values()],
        "cards": [_card(card) for card in program.cards.values()],
        "exercises": [_exercise(entry) for entry in program.exercises.values()],
        "texts": [
            {"id": text.id, "say": text.say, "evidence": _evidence(text.evidence)}
            for text in program.texts.values()
        ],
        "sources": [_source(program, name) for name in program.sources],
    }


def rule_view(program: Program, rule_id: str) -> RuleView | None:
    """One rule in full; None when the edition has no such rule."""
    rule = program.rules.get(rule_id)
    if rule is None:
        return None
    found: RuleView = {
        "id": rule.id,
        "title": rule.title,
        "topic": rule.topic,
        "phase": rule.phase.value,
        "for_each": list(rule.for_each),
        "when": condition_json(rule.when),
        "when_lines": condition_lines(program, rule.when),
        "then": [_write(write) for write in rule.then],
        "while_unknown": [_write(write) for write in rule.holds],
        "because": rule.because,
        "evidence": _evidence(rule.evidence),
        "owner": rule.owner,
        "edition": edition_view(program),
    }
    if rule.basis is not None:
        found["basis"] = rule.basis.value
    if rule.asymmetric is not None:
        found["asymmetric"] = rule.asymmetric
    if rule.approved is not None:
        found["approved"] = rule.approved.isoformat()
    if rule.review_by is not None:
        found["review_by"] = rule.review_by.isoformat()
    return found


def _short(rule: Rule) -> RuleShort:
    found: RuleShort = {
        "id": rule.id,
        "title": rule.title,
        "topic": rule.topic,
        "phase": rule.phase.value,
        "for_each": list(rule.for_each),
        "concludes": sorted({_name(write) for write in rule.then}),
        "holds_while_unknown": bool(rule.holds),
        "owner": rule.owner,
    }
    if rule.basis is not None:
        found["basis"] = rule.basis.value
    if rule.approved is not None:
        found["approved"] = rule.approved.isoformat()
    if rule.review_by is not None:
        found["review_by"] = rule.review_by.isoformat()
    return found


def _name(write: Write) -> str:
    name = f"{write.conclusion}.{write.key}" if write.key else write.conclusion
    return name if write.reach == "case" else f"{write.reach}.{name}"


def _write(write: Write) -> WriteView:
    found: WriteView = {
        "conclusion": write.conclusion,
        "value": write.value,
        "reach": write.reach,
    }
    if write.key is not None:
        found["key"] = write.key
    if write.within is not None:
        found["within"] = write.within
    return found


def _evidence(entries: Iterable[Evidence]) -> list[EvidenceView]:
    views: list[EvidenceView] = []
    for entry in entries:
        found: EvidenceView = {}
        if entry.source is not None:
            found["source"] = entry.source
        if entry.at is not None:
            found["at"] = entry.at
        if entry.common_practice is not None:
            found["common_practice"] = entry.common_practice
        if entry.from_memory:
            found["from_memory"] = True
        views.append(found)
    return views


def _policy(choice: PolicyChoice) -> PolicyView:
    found: PolicyView = {
        "id": choice.id,
        "title": choice.title,
        "value": str(choice.value),
        "values": list(choice.values),
        "reason": choice.reason,
        "evidence": _evidence(choice.evidence),
        "refused": dict(choice.refused),
    }
    if choice.low is not None:
        found["low"] = choice.low
    if choice.high is not None:
        found["high"] = choice.high
    return found


def _card(card: Card) -> CardView:
    found: CardView = {
        "id": card.id,
        "title": card.title,
        "rungs": list(card.rungs),
        "pattern": card.pattern,
        "position": card.position,
        "positions": list(card.positions),
        "set_up": list(card.set_up),
        "effort": card.effort,
        "dose": dict(card.dose),
        "feel": card.feel,
        "stop": list(card.stop),
        "if_not_tolerated": card.if_not_tolerated,
        "evidence": _evidence(card.evidence),
        "owner": card.owner,
    }
    if card.instead_of is not None:
        found["instead_of"] = card.instead_of
    if isinstance(card.review_by, date):
        found["review_by"] = card.review_by.isoformat()
    return found


def _exercise(entry: Exercise) -> ExerciseView:
    found: ExerciseView = {
        "id": entry.id,
        "title": entry.title,
        "loads": list(entry.loads),
        "how": list(entry.how),
        "dose": entry.dose,
        "stop": list(entry.stop),
        "evidence": _evidence(entry.evidence),
        "owner": entry.owner,
    }
    if isinstance(entry.review_by, date):
        found["review_by"] = entry.review_by.isoformat()
    return found


def _source(program: Program, name: str) -> SourceText:
    source = program.sources[name]
    found: SourceText = {"id": name, "title": source.title, "status": source.status}
    if source.year is not None:
        found["year"] = source.year
    return found
