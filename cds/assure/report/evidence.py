"""What things rest on and how sure that is; the list of sources.

Certainty is one of five, worst first: from memory, common practice, second-hand, derived, read. A
reference marked from memory stays so even when its source was read elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cds.assure.report.effects import chosen
from cds.assure.report.html import Child, Html, el, join, table
from cds.assure.report.terms import Terms
from cds.rulebook.book import Evidence
from cds.rulebook.program import Program

CERTAINTY = {
    "memory": ("from memory", "nobody has read it in its source; needs sign-off"),
    "common_practice": ("common practice", "what the trade does; no source is claimed"),
    "second_hand": ("second-hand", "read where another text reports it"),
    "derived": ("derived", "computed or reasoned from things that were read"),
    "read": ("read", "read in the source itself"),
}
"""Certainty -> its name and what it means."""


@dataclass(frozen=True, slots=True)
class Cited:
    """One reference and what leans on it. `kind`: rule, policy, card, exercise, text."""

    kind: str
    name: str
    title: str
    evidence: Evidence


def cited(program: Program) -> Iterator[Cited]:
    """Every reference of the book, kind by kind, in order of ids."""
    for rule in program.rules.values():
        yield from (Cited("rule", rule.id, rule.title, proof) for proof in rule.evidence)
    for choice in program.policy.values():
        yield from (Cited("policy", choice.id, choice.title, proof) for proof in choice.evidence)
    for card in program.cards.values():
        yield from (Cited("card", card.id, card.title, proof) for proof in card.evidence)
    for exercise in program.exercises.values():
        yield from (
            Cited("exercise", exercise.id, exercise.title, proof) for proof in exercise.evidence
        )
    for text in program.texts.values():
        yield from (Cited("text", text.id, text.id, proof) for proof in text.evidence)


def certainty(program: Program, evidence: Evidence) -> str:
    """A key of `CERTAINTY`."""
    if evidence.from_memory:
        return "memory"
    if evidence.source is None:
        return "common_practice"
    entry = program.sources.get(evidence.source)
    return entry.status if entry is not None and entry.status in CERTAINTY else "memory"


def mark(key: str) -> Html:
    """The name of a certainty, set apart."""
    return el("span", CERTAINTY[key][0], class_=f"sure {key}")


def reference(terms: Terms, evidence: Evidence) -> Html:
    """One reference: the source, where in it, how sure."""
    sure = mark(certainty(terms.program, evidence))
    if evidence.source is None:
        return join([evidence.common_practice or "", " ", sure])
    entry = terms.program.sources.get(evidence.source)
    year = f", {entry.year}" if entry is not None and entry.year is not None else ""
    title = entry.title if entry is not None else evidence.source
    where = f": {evidence.at}" if evidence.at else ""
    return join([terms.link("source", evidence.source, f"{title}{year}"), where, " ", sure])


def references(terms: Terms, evidence: Sequence[Evidence]) -> Child:
    """All references of one thing as a list."""
    if not evidence:
        return "none given"
    return el("ul", [el("li", reference(terms, proof)) for proof in evidence], class_="refs")


def certainty_table(program: Program) -> Html:
    """How many references are of each certainty."""
    counts = dict.fromkeys(CERTAINTY, 0)
    for entry in cited(program):
        counts[certainty(program, entry.evidence)] += 1
    return table(
        "How sure the book is, by reference",
        ("Certainty", "What it means", "References"),
        [([mark(key), meaning, str(counts[key])], None) for key, (_, meaning) in CERTAINTY.items()],
    )


def leaning(terms: Terms) -> dict[str, list[Html]]:
    """What leans on each source: rules by number, other things by title."""
    found: dict[str, list[Html]] = {
        source: [_numbered(terms, rule) for rule in rules]
        for source, rules in terms.links.citers.items()
    }
    for entry in cited(terms.program):
        if entry.evidence.source is None or entry.kind == "rule":
            continue
        shown = (
            terms.link("policy", entry.name, entry.title)
            if entry.kind == "policy"
            else chosen(terms, entry.name)
        )
        mine = found.setdefault(entry.evidence.source, [])
        if shown not in mine:
            mine.append(shown)
    return found


def sources(terms: Terms) -> Html:
    """The table of sources with who leans on each."""
    found = leaning(terms)
    rows: list[tuple[Sequence[Child], str | None]] = []
    for source in terms.program.sources.values():
        about = "; ".join(part for part in (source.where, source.scheme) if part)
        year = f" ({source.year})" if source.year is not None else ""
        status = source.status if source.status in CERTAINTY else "memory"
        used = join(found.get(source.id, []), ", ") or "nothing yet"
        rows.append(
            (
                [
                    terms.heading("source", source.id, f"{source.title}{year}"),
                    mark(status),
                    about or "–",
                    used,
                ],
                f"source-{source.id}",
            )
        )
    heads = ("Source", "Certainty", "Where, scheme", "Leaned on by (rule numbers, other titles)")
    return table("Every source, and what leans on it", heads, rows)


def _numbered(terms: Terms, rule: str) -> Html:
    """A link to a rule by its number alone; its title is said to those who listen."""
    number = str(terms.links.numbers[rule])
    title = terms.program.rules[rule].title
    return terms.link("rule", rule, number, aria_label=f"{number} {title}")
