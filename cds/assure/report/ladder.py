"""The ladder of techniques with the gate before each rung, the families and their limits."""

from __future__ import annotations

from collections.abc import Sequence

from cds.assure.report.html import Child, Html, bullets, el, table
from cds.assure.report.terms import Terms, anchor
from cds.explain.words import word

_GROUPS = {"hands_on": "hands-on technique", "home": "home exercise", "position": "position"}


def ladder(terms: Terms) -> list[Html]:
    """Rungs from the least upward, then the families."""
    rungs = [
        el(
            "li",
            el("p", el("b", rung.title)),
            [el("p", "Before it:", class_="label"), bullets(rung.gate)] if rung.gate else None,
            id=anchor("rung", rung.name),
        )
        for rung in terms.program.ladder.rungs
    ]
    rows: list[tuple[Sequence[Child], str | None]] = [
        (
            [
                family.title,
                _GROUPS.get(family.group, word(family.group)),
                ", ".join(word(limit) for limit in family.limits),
                "; ".join(f"{terms.rung(rung)} needs {word(limit)}" for rung, limit in family.rungs)
                or "–",
            ],
            anchor("family", family.name),
        )
        for family in terms.program.ladder.families
    ]
    return [
        el(
            "p",
            "The path of the day climbs from the gentlest rung that is open. A rung is open when "
            "no rule limits its family below what the rung needs, the family is indicated at the "
            "level, and the rung is not above what may be aimed for. Where several rules limit a "
            "family, the lowest limit counts. Nothing hands-on is open under an urgent referral, "
            "when no hands-on care is advised, or outside a session.",
        ),
        el("ol", rungs, class_="rungs"),
        table(
            "Families that can be limited on their own",
            ("Family", "Kind", "Limits, least first", "Rungs"),
            rows,
        ),
    ]
