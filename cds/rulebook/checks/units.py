"""Units of numbers are written as UCUM has them, so that an EMR can convert what it stores.

UCUM is a grammar; a misspelt unit is often another valid one. So this is a short closed list of
what findings of this trade are measured in, beside free annotations in braces such as `{points}`.
A book that needs another unit adds it here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book
from cds.rulebook.checks.subjects import problem
from cds.rulebook.suggest import did_you_mean

UNITS = frozenset(
    {
        "1", "%", "a", "mo", "wk", "d", "h", "min", "s", "mm", "cm", "m", "kg", "g", "mg", "ug",
        "kg/m2", "L", "mL", "Cel", "[degF]", "deg", "N", "mm[Hg]", "/min", "m/s", "mg/L", "mg/dL",
        "g/L", "g/dL", "mmol/L", "umol/L", "nmol/L", "ng/mL", "10*9/L", "mm/h", "mg/d",
    }
)  # fmt: skip
"""UCUM units, case-sensitive."""

_ANNOTATION = re.compile(r"\{[!-z|~]+\}")


def check(book: Book) -> Iterator[Problem]:
    """Units that are not in the list."""
    for finding in book.findings.values():
        unit = finding.unit
        if unit is None or unit in UNITS or _ANNOTATION.fullmatch(unit):
            continue
        near = did_you_mean(unit, UNITS)
        hint = f"did you mean `{near}`?" if near else None
        message = f"`{finding.name}` has the unit `{unit}`, which is not known"
        yield problem("unknown-unit", message, finding.place, hint)
