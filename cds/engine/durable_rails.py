"""Dual rails: every proposition is two facts, "it is true" and "it is false", and rules only add.

Unknown is that neither fact is there. Negation exchanges the rails, so a program of conditions
becomes rules with positive conjuncts alone and needs no `not`, no order and no complements. A
signal is the name of a fact, or `ALWAYS` or `NEVER` where building time already knows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

ALWAYS = "<always>"
NEVER = "<never>"

MAX_CONJUNCTS = 8
"""Facts that one rule joins; the engine refuses above 16 (error 304)."""


@dataclass(frozen=True, slots=True)
class Rails:
    """The two signals of one proposition."""

    true: str
    false: str

    def denied(self) -> Rails:
        """Its negation."""
        return Rails(self.false, self.true)


TRUE = Rails(ALWAYS, NEVER)
FALSE = Rails(NEVER, ALWAYS)


@dataclass(frozen=True, slots=True)
class Derivation:
    """A positive rule: when all of `needs` are there, `gives` is."""

    needs: tuple[str, ...]
    gives: str


class RailMaker:
    """Collects derivations in an order in which every fact is derived before it is needed."""

    def __init__(self, fresh: Callable[[], str]) -> None:
        self.derivations: list[Derivation] = []
        self._fresh = fresh
        self._joined: dict[frozenset[str], str] = {}
        self._either: dict[frozenset[str], str] = {}

    def all_of(self, signals: Iterable[str]) -> str:
        """A signal that is there when every one of `signals` is."""
        needed = list(dict.fromkeys(s for s in signals if s != ALWAYS))
        if NEVER in needed:
            return NEVER
        if not needed:
            return ALWAYS
        while len(needed) > MAX_CONJUNCTS:
            # a chain: the first few become one fact, which joins the rest
            needed = [self._join(needed[:MAX_CONJUNCTS]), *needed[MAX_CONJUNCTS:]]
        return needed[0] if len(needed) == 1 else self._join(needed)

    def any_of(self, signals: Iterable[str]) -> str:
        """A signal that is there when at least one of `signals` is: one rule for each."""
        offered = list(dict.fromkeys(s for s in signals if s != NEVER))
        if ALWAYS in offered:
            return ALWAYS
        if len(offered) < 2:
            return offered[0] if offered else NEVER
        key = frozenset(offered)
        found = self._either.get(key)
        if found is None:
            found = self._either[key] = self._fresh()
            self.derivations += [Derivation((one,), found) for one in offered]
        return found

    def count(self, need: int, signals: Sequence[str]) -> str:
        """A signal that is there when at least `need` of `signals` are; one given twice is two.

        By partial counts, `need * len(signals)` facts at most: "j of the first i" follows from "j
        of the first i-1", or from "j-1 of the first i-1" together with the i-th.
        """
        if need == len(signals):
            return self.all_of(signals)
        reached = [ALWAYS] + [NEVER] * need
        for signal in signals:
            reached = [ALWAYS] + [
                self.any_of((reached[j], self.all_of((reached[j - 1], signal))))
                for j in range(1, need + 1)
            ]
        return reached[need]

    def at_least(self, need: int, members: Sequence[Rails]) -> Rails:
        """True once `need` members are; false once so many are false that `need` cannot be met."""
        return Rails(
            self.count(need, [member.true for member in members]),
            self.count(len(members) - need + 1, [member.false for member in members]),
        )

    def _join(self, needed: list[str]) -> str:
        key = frozenset(needed)
        found = self._joined.get(key)
        if found is None:
            found = self._joined[key] = self._fresh()
            self.derivations.append(Derivation(tuple(needed), found))
        return found
