"""Finding rules by words and filters, all of them in the address, so that a search can be linked.

A filter has closed choices; one that the book does not have is refused, since a misspelt filter
would silently show another list than was asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from cds.assure.report.evidence import CERTAINTY
from cds.assure.report.terms import named
from cds.explain.words import word
from cds.problems import Problem
from cds.rulebook.book import Rule
from cds.web.rulebook import Shelf
from cds.web.words import day

SOON = timedelta(days=90)
REVIEW = {
    "overdue": "overdue",
    "soon": f"within {SOON.days} days",
    "later": "later",
    "unset": "no date",
}
ORDERS = {"topic": "by topic", "review": "by review date, overdue first"}
LONGEST = 200
NONE = "none"
GIST = 150


@dataclass(frozen=True, slots=True)
class Facet:
    """One filter: its name, its label, its choices with labels, and the choices a rule falls in."""

    name: str
    label: str
    choices: Mapping[str, str]
    of: Callable[[Rule], Sequence[str]]


def review_of(rule: Rule, today: date) -> str:
    """A key of `REVIEW`."""
    if rule.review_by is None:
        return "unset"
    if rule.review_by < today:
        return "overdue"
    return "soon" if rule.review_by <= today + SOON else "later"


def facets(shelf: Shelf, today: date) -> tuple[Facet, ...]:
    """The filters of a book. Choices that no rule falls in are offered all the same where they are
    few and have a meaning of their own.
    """
    rules = shelf.rules
    bases = {str(rule.basis): word(str(rule.basis)) for rule in rules if rule.basis is not None}
    return (
        Facet(
            "topic",
            "Topic",
            {topic: named(topic) for topic in shelf.terms.links.order},
            lambda rule: (rule.topic,),
        ),
        Facet(
            "basis",
            "Limits as",
            {**dict(sorted(bases.items())), NONE: "limits nothing"},
            lambda rule: (NONE if rule.basis is None else str(rule.basis),),
        ),
        Facet(
            "evidence",
            "Rests on",
            {**{key: name for key, (name, _) in CERTAINTY.items()}, NONE: "nothing given"},
            lambda rule: shelf.sureness(rule) or (NONE,),
        ),
        Facet(
            "owner",
            "Owner",
            {rule.owner or NONE: named(rule.owner) or "none named" for rule in rules},
            lambda rule: (rule.owner or NONE,),
        ),
        Facet("review", "Review due", REVIEW, lambda rule: (review_of(rule, today),)),
    )


def read(shelf: Shelf, sent: Iterable[tuple[str, str]], today: date) -> dict[str, str]:
    """The filters that were sent and say something.

    Raises `WrongSearch` for what the book does not have.
    """
    allowed = {facet.name: facet.choices for facet in facets(shelf, today)} | {"order": ORDERS}
    found: dict[str, str] = {}
    problems: list[Problem] = []
    for name, value in sent:
        if name in found:
            problems.append(Problem("wrong-search", f"“{name}” is given twice"))
        elif name == "q":
            if len(value) > LONGEST:
                message = f"the words to look for are longer than {LONGEST} characters"
                problems.append(Problem("wrong-search", message))
            elif value.strip():
                found["q"] = value.strip()
        elif name not in allowed:
            problems.append(Problem("wrong-search", "the search has no such filter"))
        elif value and value not in allowed[name]:
            message = f"“{name}” has no such choice in this edition"
            problems.append(Problem("wrong-search", message))
        elif value:
            found[name] = value
    if problems:
        raise WrongSearch(problems)
    return found


class WrongSearch(Exception):
    """A search that the book cannot answer, with every problem."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__(f"{len(problems)} problems")
        self.problems = problems


def results(shelf: Shelf, asked: Mapping[str, str], today: date) -> dict[str, Any]:
    """What the template needs: rules in groups, and each filter with its counts."""
    known = facets(shelf, today)
    words = asked.get("q", "").casefold().split()
    worded = [rule for rule in shelf.rules if all(w in shelf.texts[rule.id] for w in words)]

    def fits(rule: Rule, but: str = "") -> bool:
        return all(
            asked[facet.name] in facet.of(rule)
            for facet in known
            if facet.name in asked and facet.name != but
        )

    hits = [rule for rule in worded if fits(rule)]
    return {
        "asked": dict(asked),
        "count": len(hits),
        "whole": len(shelf.rules),
        "groups": _groups(shelf, hits, asked.get("order", "topic"), today),
        "filters": [
            {
                "name": facet.name,
                "label": facet.label,
                "choices": _choices(
                    facet, [rule for rule in worded if fits(rule, but=facet.name)], asked
                ),
            }
            for facet in known
        ],
        "without": [
            {
                "label": value if name == "q" else _label(known, name, value),
                "href": _href({key: kept for key, kept in asked.items() if key != name}),
            }
            for name, value in asked.items()
            if name != "order"
        ],
        "orders": ORDERS,
    }


def _label(known: Iterable[Facet], name: str, value: str) -> str:
    return next(f"{f.label}: {f.choices[value]}" for f in known if f.name == name)


def _href(asked: Mapping[str, str]) -> str:
    return f"/rulebook?{urlencode(asked)}" if asked else "/rulebook"


def _choices(facet: Facet, among: Sequence[Rule], asked: Mapping[str, str]) -> list[dict[str, Any]]:
    counts = dict.fromkeys(facet.choices, 0)
    for rule in among:
        for value in facet.of(rule):
            counts[value] += 1
    return [
        {
            "value": value,
            "label": label,
            "count": counts[value],
            "chosen": asked.get(facet.name) == value,
            "href": _href({**asked, facet.name: value}),
        }
        for value, label in facet.choices.items()
    ]


def _groups(shelf: Shelf, hits: Sequence[Rule], order: str, today: date) -> list[dict[str, Any]]:
    if order == "review":
        late = date.max
        hits = sorted(hits, key=lambda rule: rule.review_by or late)
        heads = {key: f"Review {said}" for key, said in REVIEW.items()}
        return [
            {"id": key, "title": title, "rules": [_row(shelf, r, today) for r in rules]}
            for key, title in heads.items()
            if (rules := [rule for rule in hits if review_of(rule, today) == key])
        ]
    return [
        {"id": topic, "title": named(topic), "rules": [_row(shelf, r, today) for r in rules]}
        for topic in shelf.terms.links.order
        if (rules := [rule for rule in hits if rule.topic == topic])
    ]


def _row(shelf: Shelf, rule: Rule, today: date) -> dict[str, Any]:
    gist = shelf.gists[rule.id]
    if len(gist) > GIST:
        gist = gist[:GIST].rpartition(" ")[0].rstrip(",;:.") + " …"
    worst = shelf.sureness(rule)[:1]
    return {
        "id": rule.id,
        "number": shelf.terms.links.numbers[rule.id],
        "title": rule.title,
        "gist": gist,
        "basis": None if rule.basis is None else word(str(rule.basis)),
        "sure": worst[0] if worst else None,
        "sure_said": CERTAINTY[worst[0]][0] if worst else "no evidence given",
        "review": day(rule.review_by) if rule.review_by else None,
        "overdue": review_of(rule, today) == "overdue",
    }
