"""How many of a published list of items hold, and what its authors say that number means.

An item nobody answered is open, so a count is a span and a row of the table holds, does not hold
or is open. Rows are cumulative as printed ("three or more"). Item keys are our own words; no
questionnaire text is shipped.

Information, never deciding; what is weak about a list is said by the rule book's own words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from cds.features.prediction import Likelihood
from cds.features.uncertain import Span, at_least, every, opposite
from cds.vocabulary.values import Tri


@dataclass(frozen=True, slots=True)
class Row:
    """What `at_least` to `at_most` items (None: no upper end) are said to mean.

    `likelihood` is None where no ratio for this row is at hand. `status` as in `prediction`.
    """

    at_least: int
    at_most: int | None
    meaning: str
    likelihood: Likelihood | None
    status: str


@dataclass(frozen=True, slots=True)
class Criteria:
    """A published list: `items` are counted, `requires` must hold for the count to mean anything.

    Items are key -> short description.
    """

    key: str
    title: str
    items: Mapping[str, str]
    rows: tuple[Row, ...]
    source: str
    status: str
    requires: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Counted:
    """The count as a span, whether the list applies, and each row with its truth.

    A row is TRUE only where the list applies and the number is in it for certain.
    """

    criteria: Criteria
    span: Span
    applies: Tri
    rows: tuple[tuple[Row, Tri], ...]

    @property
    def weaknesses(self) -> tuple[str, ...]:
        """What this case's answers leave open."""
        low, high = self.span
        return () if low == high else (f"Not recorded: {high - low} of the items.",)


def count(criteria: Criteria, answers: Mapping[str, Tri]) -> Counted:
    """Count the items that hold; an item or requirement not in `answers` is open, never absent.

    ValueError for a key that is neither an item nor a requirement.
    """
    if strangers := sorted(set(answers) - set(criteria.items) - set(criteria.requires)):
        raise ValueError(f"{criteria.key} has no item {', '.join(strangers)}")
    found = [answers.get(key, Tri.UNKNOWN) for key in criteria.items]
    low = sum(value is Tri.TRUE for value in found)
    span = (low, low + sum(value is Tri.UNKNOWN for value in found))
    applies = every(*(answers.get(key, Tri.UNKNOWN) for key in criteria.requires))
    rows = tuple((row, every(applies, _within(span, row))) for row in criteria.rows)
    return Counted(criteria, span, applies, rows)


def _within(span: Span, row: Row) -> Tri:
    enough = at_least(span, row.at_least)
    if row.at_most is None:
        return enough
    return every(enough, opposite(at_least(span, row.at_most + 1)))
