"""Suggests the known name that a misspelt one was probably meant to be."""

from __future__ import annotations

from collections.abc import Iterable

LONGEST = 80


def did_you_mean(name: str, known: Iterable[str]) -> str | None:
    """The nearest of `known`, or None if none is near or `name` itself is known.

    Near: at most one edit in three letters (an edit inserts, drops, changes, or swaps two
    neighbours), case and `-` against `_` ignored. Of equally near names the first in the alphabet,
    so that the order of `known` never shows.
    """
    names = sorted(set(known))
    if name in names or not name or len(name) > LONGEST:
        return None
    wanted = _folded(name)
    best: tuple[int, str] | None = None
    for candidate in names:
        allowed = max(1, min(len(wanted), len(candidate)) // 3)
        if abs(len(wanted) - len(candidate)) > allowed:
            continue
        edits = _edits(wanted, _folded(candidate))
        # A name of one or two letters is near only to another spelling of itself or one edit that
        # leaves a letter in common.
        if edits <= allowed and edits < max(len(wanted), len(candidate)):
            best = min(best, (edits, candidate)) if best else (edits, candidate)
    return best[1] if best else None


def _folded(name: str) -> str:
    return name.casefold().replace("-", "_")


def _edits(one: str, other: str) -> int:
    """Optimal string alignment distance."""
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, start=1):
        now = [i]
        for j, b in enumerate(other, start=1):
            cost = min(row[j] + 1, now[j - 1] + 1, row[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and b == one[i - 2]:
                cost = min(cost, before[j - 2] + 1)
            now.append(cost)
        before, row = row, now
    return row[-1]
