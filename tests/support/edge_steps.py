"""How two cases differ: how many answers or fields, and by more than one step of a scale or not.

Both cases are read and written out in full first, so that an answer given by a block and the same
answer given for itself are compared as answers.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from cds.vocabulary.computed import ADVERSE, COMPARABLE, GUARDING, SPREAD
from cds.vocabulary.model import URGENCIES
from cds.vocabulary.reading import read_case
from cds.vocabulary.vocabulary import SEGMENT, Vocabulary
from cds.vocabulary.write import case_json

SETTLED = ("within_24h", "within_48h", "longer", "not_settled")
ORDERED: dict[str, tuple[str, ...]] = {
    "guarding": GUARDING,
    "guarding_before": GUARDING,
    "guarding_after": GUARDING,
    "settled": SETTLED,
    "adverse": ADVERSE,
    "comparable_sign": COMPARABLE,
    "spread": SPREAD,
    "urgency": URGENCIES,
}
"""Words with an order that are no answers, by their key; least first."""
RUNG_KEYS = ("rung", "advised", "worsened_at")
DAYS = ("as_of", "on", "outcome_on", "withdrawn", "observed", "asked")
_ABSENT = object()


@dataclass(frozen=True)
class Change:
    """One answer or field that differs. `steps` is None where its values have no order."""

    where: str
    steps: int | None


def changes(vocab: Vocabulary, one: dict[str, Any], other: dict[str, Any]) -> tuple[Change, ...]:
    """Every answer or field in which two cases differ."""
    written = (case_json(vocab, read_case(vocab, data)) for data in (one, other))
    return tuple(_differ(vocab, "", "", *written))


def _differ(vocab: Vocabulary, where: str, key: str, one: Any, other: Any) -> Iterator[Change]:
    if one == other:
        return
    if key == "answers":
        for name in sorted({*(one or {}), *(other or {})}):
            finding = (SEGMENT if where.startswith("segments") else "") + name
            yield from _answer(
                vocab, f"{where}.{name}", finding, (one or {}).get(name), (other or {}).get(name)
            )
    elif isinstance(one, dict) and isinstance(other, dict):
        for name in sorted({*one, *other}):
            at = f"{where}.{name}" if where else name
            yield from _differ(vocab, at, name, one.get(name, _ABSENT), other.get(name, _ABSENT))
    elif isinstance(one, list) and isinstance(other, list):
        yield from _lists(vocab, where, key, one, other)
    else:
        yield Change(where, _steps(vocab, key, one, other))


def _answer(vocab: Vocabulary, where: str, name: str, one: Any, other: Any) -> Iterator[Change]:
    """An answer is one thing, however it was given."""
    if one == other:
        return
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for left, right in zip(one, other, strict=True):  # several dated answers
            yield from _answer(vocab, where, name, left, right)
        return
    values = [said.get("value") if isinstance(said, dict) else None for said in (one, other)]
    if None in values or values[0] == values[1]:
        days = {
            k
            for k in DAYS
            if isinstance(one, dict) and isinstance(other, dict) and one.get(k) != other.get(k)
        }
        far = max((_days(one[k], other[k]) for k in days), default=None) if days else None
        yield Change(where, far)
        return
    finding = vocab.findings[name]
    if any(isinstance(value, dict) for value in values):
        yield Change(where, None)
    elif finding.numeric:
        ends = [finding.steps(Decimal(str(value))) for value in values]
        assert ends[0] is not None and ends[1] is not None
        yield Change(where, abs(ends[0] - ends[1]))
    elif finding.ordered:
        places = [finding.values.index(str(value)) for value in values]
        yield Change(where, abs(places[0] - places[1]))
    else:
        yield Change(where, None)


def _lists(
    vocab: Vocabulary, where: str, key: str, one: list[Any], other: list[Any]
) -> Iterator[Change]:
    if len(one) == len(other):
        for number, (left, right) in enumerate(zip(one, other, strict=True), 1):
            yield from _differ(vocab, f"{where}.{number}", key, left, right)
        return
    longer, shorter = (one, other) if len(one) > len(other) else (other, one)
    missing = len(longer) - len(shorter)
    if any(longer[:n] + longer[n + missing :] == shorter for n in range(len(shorter) + 1)):
        yield Change(where, missing)  # members added or taken away, the rest alike
        return
    yield Change(where, missing)
    yield Change(f"{where} (members)", None)


def _steps(vocab: Vocabulary, key: str, one: Any, other: Any) -> int | None:
    if one is _ABSENT or other is _ABSENT:
        return None
    if key in DAYS:
        return _days(one, other)
    order = (*vocab.rungs,) if key in RUNG_KEYS else ORDERED.get(key, ())
    if one in order and other in order:
        return abs(order.index(one) - order.index(other))
    if isinstance(one, int) and isinstance(other, int):
        return abs(one - other)
    return None


def _days(one: str, other: str) -> int:
    return abs((date.fromisoformat(one) - date.fromisoformat(other)).days)
