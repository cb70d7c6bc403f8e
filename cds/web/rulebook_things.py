"""What the page of one rule, finding, card, exercise or source shows; the parts read whole."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any

from cds.assure.report.choices import choices
from cds.assure.report.evidence import (
    CERTAINTY,
    certainty,
    certainty_table,
    cited,
    mark,
    sources,
)
from cds.assure.report.findings import answers, finding_cells, findings, made_from
from cds.assure.report.html import Child, Html, el, join
from cds.assure.report.ladder import ladder
from cds.assure.report.library import card_rows, cards, exercise_rows, exercises, texts
from cds.assure.report.positional import positional
from cds.assure.report.rules import definitions, said, vouched
from cds.assure.report.signoff import signoff
from cds.assure.report.terms import named, with_holes
from cds.rulebook.book import Phase
from cds.web.neighbours import Box, after, alike, before
from cds.web.pictures.fan import fan
from cds.web.rulebook import Shelf, address
from cds.web.rulebook_search import review_of

Show = Callable[[Shelf], Child]
PARTS: Mapping[str, tuple[str, str, Show]] = {
    "policy": (
        "Policy choices",
        "What local governance may set, the value here with its reason, and what is refused.",
        lambda shelf: choices(shelf.terms),
    ),
    "ladder": (
        "The ladder",
        "The techniques from the gentlest up, and the families that are limited on their own.",
        lambda shelf: ladder(shelf.terms),
    ),
    "cards": ("Technique cards", "How each technique is done.", lambda shelf: cards(shelf.terms)),
    "exercises": (
        "Home exercises",
        "What the patient does at home.",
        lambda shelf: exercises(shelf.terms),
    ),
    "texts": (
        "Texts",
        "Cautions, tests after treatment, safety net, what to explain.",
        lambda shelf: texts(shelf.terms),
    ),
    "positional": (
        "Positional table",
        "What the side that stands out in three positions means.",
        lambda shelf: positional(shelf.program),
    ),
    "findings": (
        "Findings",
        "What is asked and examined, how long an answer counts, and what is computed from it.",
        lambda shelf: findings(shelf.terms),
    ),
    "sources": (
        "Sources",
        "What the book rests on, and how sure that is.",
        lambda shelf: [certainty_table(shelf.program), sources(shelf.terms)],
    ),
    "sign-off": (
        "For clinical sign-off",
        "Every value that rests on no text somebody read.",
        lambda shelf: signoff(shelf.terms),
    ),
}
"""Name of a part -> its title, what it holds, and what shows it."""


def here(*trail: tuple[str, str]) -> dict[str, Any]:
    """Where a page stands: the way to it, last the page itself."""
    way = [("Rule book", "/rulebook"), *trail] if trail[0][0] != "Rule book" else list(trail)
    return {"here": "rulebook", "trail": way}


def rule_context(shelf: Shelf, name: str, today: date) -> dict[str, Any]:
    """What the template of a rule needs."""
    rule = shelf.program.rules[name]
    ids = list(shelf.terms.links.numbers)
    at = ids.index(name)
    ahead, behind = before(shelf, rule), after(shelf, rule)
    return {
        "rule": rule,
        "number": at + 1,
        "prepares": rule.phase is Phase.PREPARE,
        "said": join(said(shelf.terms, rule)),
        "vouched": definitions(_own(vouched(shelf.terms, rule))),
        "review": review_of(rule, today),
        "before": ahead,
        "after": behind,
        "in_lines": _lines(ahead, gathers=True),
        "out_lines": _lines(behind, gathers=False),
        "alike": alike(shelf, rule),
        "installed": shelf.fixtures is not None,
        "fixtures": (shelf.fixtures or {}).get(name, ()),
        "previous": _step(shelf, ids[at - 1]) if at else None,
        "next": _step(shelf, ids[at + 1]) if at + 1 < len(ids) else None,
        **here((named(rule.topic), address("topic", rule.topic)), (rule.title, "")),
    }


def _own(rows: Iterable[tuple[str, Child]]) -> list[tuple[str, Child]]:
    """Who and what vouches for a rule; its neighbours stand in the picture."""
    return [row for row in rows if row[0] not in ("Fed by", "Feeds")]


def _lines(boxes: list[Box], *, gathers: bool) -> str:
    return fan([box.waits for box in boxes], gathers=gathers)


def _step(shelf: Shelf, rule: str) -> dict[str, str]:
    return {"href": address("rule", rule), "title": shelf.program.rules[rule].title}


def finding_context(shelf: Shelf, name: str) -> dict[str, Any]:
    """A finding, or a value that is computed from the record."""
    terms = shelf.terms
    finding = shelf.program.findings.get(name)
    feature = shelf.program.features.get(name)
    readers = _listed(terms.rules(terms.links.readers.get(name, ())))
    if finding is not None:
        title, asked, counts, _ = finding_cells(terms, finding)
        made = [
            terms.link("computed", other.name, other.title)
            for other in shelf.program.features.values()
            if name in other.reads
        ]
        rows: list[tuple[str, Child]] = [
            ("Question and answers", asked),
            ("An answer counts for", counts),
            *([("Computed from it", _listed(made))] if made else []),
            ("Read by", readers),
        ]
        return _thing(title, "Finding", name, rows, "findings")
    assert feature is not None  # the caller looked it up
    rows = [
        ("May be", answers(feature)),
        ("Computed from", made_from(terms, feature)),
        ("Read by", readers),
    ]
    return _thing(feature.title, "Computed, never asked", name, rows, "findings")


def card_context(shelf: Shelf, name: str) -> dict[str, Any]:
    """A technique card."""
    card = shelf.program.cards[name]
    return _thing(
        with_holes(card.title), "Technique card", name, card_rows(shelf.terms, card), "cards"
    )


def exercise_context(shelf: Shelf, name: str) -> dict[str, Any]:
    """A home exercise."""
    entry = shelf.program.exercises[name]
    rows = exercise_rows(shelf.terms, entry)
    return _thing(with_holes(entry.title), "Home exercise", name, rows, "exercises")


def source_context(shelf: Shelf, name: str) -> dict[str, Any]:
    """A source, with everything that leans on it and where in it."""
    source, terms = shelf.program.sources[name], shelf.terms
    status = source.status if source.status in CERTAINTY else "memory"
    leaning = [
        join(
            [
                terms.link(entry.kind, entry.name, _title(shelf, entry.kind, entry.title)),
                f": {entry.evidence.at}" if entry.evidence.at else "",
                " ",
                mark(certainty(shelf.program, entry.evidence)),
            ]
        )
        for entry in cited(shelf.program)
        if entry.evidence.source == name
    ]
    rows: list[tuple[str, Child]] = [
        ("Year", str(source.year) if source.year is not None else "not given"),
        ("How it was read", [mark(status), f" {CERTAINTY[status][1]}"]),
        ("Where", source.where or "not given"),
        *([("Scheme", source.scheme)] if source.scheme else []),
        ("Leaned on by", _listed(leaning) if leaning else "nothing yet"),
        ("Name", el("code", name)),
    ]
    return _thing(source.title, "Source", name, rows, "sources")


def _title(shelf: Shelf, kind: str, title: str) -> Child:
    return named(title) if kind == "text" else with_holes(title)


def _listed(entries: Iterable[Html]) -> Child:
    items = [el("li", entry) for entry in entries]
    return el("ul", items, class_="plain") if items else "no rule"


def _thing(
    title: Child, kind: str, name: str, rows: list[tuple[str, Child]], part: str
) -> dict[str, Any]:
    shown = join([title])
    return {
        "title": shown,
        "kind": kind,
        "name": name,
        "rows": definitions([row for row in rows if row[0] != "Name"]),
        **here((PARTS[part][0], f"/rulebook/{part}"), (shown, "")),
    }
