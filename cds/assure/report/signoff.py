"""What a clinician is asked to sign: every value from memory, every bit of common practice."""

from __future__ import annotations

from collections.abc import Sequence

from cds.assure.report.effects import chosen
from cds.assure.report.evidence import Cited, certainty, cited
from cds.assure.report.html import Child, Html, el, join, table
from cds.assure.report.terms import Terms, spoken

HEADS = ("What leans on it", "What is to be confirmed", "Agreed", "Name and date, or remark")


def unsigned(terms: Terms, key: str) -> list[Cited]:
    """The references of one certainty, in the order of the list: rules by number, then others."""
    found = [e for e in cited(terms.program) if certainty(terms.program, e.evidence) == key]
    numbers = terms.links.numbers
    last = len(numbers) + 1
    return sorted(found, key=lambda e: numbers.get(e.name, last) if e.kind == "rule" else last)


def signoff(terms: Terms) -> list[Html]:
    """The two lists, each with a box to tick and room to write."""
    return [
        el(
            "p",
            "Each line is a value that rests on no text somebody read. It is confirmed here, or "
            "changed in the book. Ticks are not kept by this page: print it, or sign elsewhere.",
        ),
        _list(terms, "memory", "From memory"),
        _list(terms, "common_practice", "Common practice"),
    ]


def _list(terms: Terms, key: str, title: str) -> Html:
    entries = unsigned(terms, key)
    rows: list[tuple[Sequence[Child], str | None]] = [
        (
            [
                _leaning(terms, entry),
                _claim(terms, entry),
                el("input", type="checkbox", aria_label=f"Agreed: {spoken(entry.title)}"),
                "",
            ],
            f"sign-{key}-{number}",
        )
        for number, entry in enumerate(entries, start=1)
    ]
    return el("div", table(f"{title}: {len(rows)} to confirm", HEADS, rows), class_="signoff")


def _leaning(terms: Terms, entry: Cited) -> Child:
    if entry.kind == "rule":
        return terms.rules([entry.name])
    if entry.kind == "policy":
        return join([terms.link("policy", entry.name, entry.title), " (policy)"])
    return join([chosen(terms, entry.name), f" ({entry.kind})"])


def _claim(terms: Terms, entry: Cited) -> Child:
    proof = entry.evidence
    if proof.source is None:
        return proof.common_practice or ""
    source = terms.program.sources.get(proof.source)
    title = source.title if source is not None else proof.source
    where = f": {proof.at}" if proof.at else ""
    return join([terms.link("source", proof.source, title), where])
