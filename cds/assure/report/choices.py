"""What governance may set: policy choices with value and reason, and the whole numbers."""

from __future__ import annotations

from cds.assure.report.evidence import references
from cds.assure.report.html import Child, Html, bullets, el, join, table
from cds.assure.report.rules import definitions
from cds.assure.report.terms import Terms, anchor, named, value
from cds.explain.words import word
from cds.rulebook.book import PolicyChoice

_PARAMETERS = {
    "group_size": "levels in a row that make a group",
    "gap_days": "days without a session after which a gap counts as long",
    "settle_hours": "hours in which a session's soreness must settle",
    "pain_rise": "points of pain, of 10, that count as a rise",
    "unchanged_days": "days for which “unchanged” may stand for a full answer",
    "unchanged_confirmations": "times that “unchanged” may be said before a full answer is due",
}


def choices(terms: Terms) -> list[Html]:
    """Every policy choice, then the whole numbers of the book."""
    entries = [_choice(terms, choice) for choice in terms.program.policy.values()]
    rows: list[tuple[list[Child], str | None]] = [
        ([_PARAMETERS.get(name, word(name)).capitalize(), str(amount)], None)
        for name, amount in terms.program.parameters.items()
    ]
    return [*entries, table("Whole numbers used in computing", ("Number of", "Set to"), rows)]


def _choice(terms: Terms, choice: PolicyChoice) -> Html:
    allowed: Child
    if choice.values:
        allowed = ", ".join(word(option) for option in choice.values)
    else:
        allowed = f"{choice.low} to {choice.high}"
    readers = terms.rules(terms.links.readers.get(choice.id, ()))
    rows: list[tuple[str, Child]] = [
        ("Set to", value(word(str(choice.value)))),
        ("May be", allowed),
        ("Reason", choice.reason),
    ]
    if choice.refused:
        refused = [join([value(word(option)), f": {why}"]) for option, why in choice.refused]
        rows.append(("Refused", bullets(refused)))
    rows.append(("Evidence", references(terms, choice.evidence)))
    rows.append(("Read by", join(readers, "; ") if readers else "no rule"))
    return el(
        "article",
        el("h3", choice.title or named(choice.id)),
        definitions(rows),
        class_="entry",
        id=anchor("policy", choice.id),
    )
