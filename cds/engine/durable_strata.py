"""Positive rules cut into small rulesets, each within what the engine bears.

Known limits of durable-rules 2.0.28: more than 64 conditions that one fact meets lose every firing
(error 303), 256 rules on one condition end the process, a ruleset of 512 different conditions loops
for ever, a rule joins 16 facts at most. We stay far below, also because its time grows faster than
its rules. A stratum reads only facts that were there from the start or that it or an earlier one
derives, so any cut is right.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from cds.engine.durable_rails import ALWAYS, MAX_CONJUNCTS, NEVER, Derivation

MAX_CONDITIONS = 90
"""Different facts that the rules of one stratum read."""

MAX_USES = 50
"""Rules of one stratum that read the same fact."""

MAX_RULES = 120


@dataclass(frozen=True, slots=True)
class Stratum:
    """One ruleset. `reads`: every fact its rules read, in order."""

    rules: tuple[Derivation, ...]
    reads: tuple[str, ...]


def cut(derivations: Iterable[Derivation]) -> tuple[Stratum, ...]:
    """Strata in order. `ValueError` for a rule that is not positive, plain and small."""
    found: list[Stratum] = []
    rules: list[Derivation] = []
    uses: Counter[str] = Counter()
    for rule in derivations:
        _check(rule)
        fresh = sum(1 for need in rule.needs if need not in uses)
        full = len(rules) >= MAX_RULES or len(uses) + fresh > MAX_CONDITIONS
        if rules and (full or any(uses[need] >= MAX_USES for need in rule.needs)):
            found.append(Stratum(tuple(rules), tuple(uses)))
            rules, uses = [], Counter()
        rules.append(rule)
        uses.update(rule.needs)
    if rules:
        found.append(Stratum(tuple(rules), tuple(uses)))
    return tuple(found)


def check_stratum(stratum: Stratum) -> None:
    """`ValueError` where a stratum is beyond the limits."""
    uses: Counter[str] = Counter()
    for rule in stratum.rules:
        _check(rule)
        uses.update(rule.needs)
    if set(uses) != set(stratum.reads) or len(stratum.reads) != len(uses):
        raise ValueError("a stratum does not say what it reads")
    if not stratum.rules or len(stratum.rules) > MAX_RULES or len(uses) > MAX_CONDITIONS:
        raise ValueError("a stratum is empty or too large")
    if max(uses.values()) > MAX_USES:
        raise ValueError("one fact is read too often in a stratum")


def _check(rule: Derivation) -> None:
    names = (*rule.needs, rule.gives)
    if not 0 < len(rule.needs) <= MAX_CONJUNCTS:
        raise ValueError(f"a rule joins {len(rule.needs)} facts")
    if len(set(names)) != len(names) or ALWAYS in names or NEVER in names:
        raise ValueError("a rule repeats a fact, or needs or gives a constant")
