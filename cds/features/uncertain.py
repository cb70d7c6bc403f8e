"""Possibilities: a word that may be one of several, a number in a span, a truth that may be open.

Every function here is sound: the result holds for each completion of what is unknown. `None` as a
result is "unknown": every value is possible, so there is nothing to say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import product

from cds.vocabulary.values import Amount, Choice, Tri

Words = tuple[str, ...]
"""The words that are still possible; never empty."""

Span = tuple[int, int]
"""The whole numbers that are still possible, low to high inclusive."""

YES_NO = ("no", "yes")


def possible(word: str | None, domain: Words) -> Words:
    """The one word, or the whole domain where it is unknown or not a word of the domain."""
    return domain if word is None or word not in domain else (word,)


def lift(function: Callable[..., str], *words: Words) -> frozenset[str]:
    """Everything `function` gives over all combinations of the possible words."""
    return frozenset(function(*combination) for combination in product(*words))


def choice(words: Iterable[str], order: Words) -> Choice | None:
    """The possible words in their order; None (unknown) where that is every word or no word."""
    found = set(words)
    options = tuple(word for word in order if word in found)
    return None if not options or options == order else Choice(options)


def truth(value: Tri) -> Choice | None:
    """A truth value as `yes` or `no`; None where it is unknown."""
    if value is Tri.UNKNOWN:
        return None
    return Choice(("yes",) if value is Tri.TRUE else ("no",))


def said(word: str | None, yes: Iterable[str], no: Iterable[str]) -> Tri:
    """TRUE for a word of `yes`, FALSE for one of `no`, unknown for anything else and for None."""
    if word is not None and word in yes:
        return Tri.TRUE
    return Tri.FALSE if word is not None and word in no else Tri.UNKNOWN


def among(words: Iterable[str], targets: Iterable[str]) -> Tri:
    """Whether the word is one of `targets`, for every possible word."""
    inside = {word in set(targets) for word in words}
    return Tri.UNKNOWN if len(inside) != 1 else (Tri.TRUE if inside.pop() else Tri.FALSE)


def every(*parts: Tri) -> Tri:
    """Kleene conjunction; TRUE without parts."""
    if Tri.FALSE in parts:
        return Tri.FALSE
    return Tri.UNKNOWN if Tri.UNKNOWN in parts else Tri.TRUE


def some(*parts: Tri) -> Tri:
    """Kleene disjunction; FALSE without parts."""
    if Tri.TRUE in parts:
        return Tri.TRUE
    return Tri.UNKNOWN if Tri.UNKNOWN in parts else Tri.FALSE


def opposite(value: Tri) -> Tri:
    """Kleene negation."""
    return {Tri.TRUE: Tri.FALSE, Tri.FALSE: Tri.TRUE, Tri.UNKNOWN: Tri.UNKNOWN}[value]


def at_least(span: Span, limit: int) -> Tri:
    """Whether the number is `limit` or more."""
    if span[0] >= limit:
        return Tri.TRUE
    return Tri.FALSE if span[1] < limit else Tri.UNKNOWN


def difference(later: Span, earlier: Span) -> Span:
    """All values of `later - earlier`."""
    return (later[0] - earlier[1], later[1] - earlier[0])


def amount(span: Span, widest: Span) -> Amount | None:
    """The span as an Amount; None where it says no more than `widest`."""
    return None if span[0] <= widest[0] and span[1] >= widest[1] else Amount(*span)
