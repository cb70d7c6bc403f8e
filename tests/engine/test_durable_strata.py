"""Rulesets stay small, keep the order, and anything not positive and plain is refused."""

from __future__ import annotations

from random import Random

import pytest

from cds.engine.durable_rails import ALWAYS, NEVER, Derivation
from cds.engine.durable_strata import (
    MAX_CONDITIONS,
    MAX_RULES,
    MAX_USES,
    Stratum,
    check_stratum,
    cut,
)
from cds.engine.durable_translate import translate
from cds.engine.randombook import random_book
from cds.rulebook.compile import compile_book


def test_the_order_is_kept_and_every_limit_too() -> None:
    rules = [Derivation((f"a{n % 300}", "often"), f"d{n}") for n in range(1_000)]
    found = cut(rules)
    assert [rule for stratum in found for rule in stratum.rules] == rules
    for stratum in found:
        check_stratum(stratum)
        assert sum("often" in rule.needs for rule in stratum.rules) <= MAX_USES
        assert len(stratum.reads) <= MAX_CONDITIONS
        assert len(stratum.rules) <= MAX_RULES


def test_many_rules_on_few_facts_are_cut() -> None:
    rules = [Derivation((f"a{n % 5}",), f"d{n}") for n in range(200)]
    assert {len(stratum.rules) for stratum in cut(rules)} == {120, 80}


def test_every_fact_is_derived_in_time() -> None:
    """What a stratum reads is given from the start, or derived in it or before it."""
    for seed in range(20):
        found = cut(translate(compile_book(random_book(Random(seed)))).derivations)
        last = {
            rule.gives: number for number, stratum in enumerate(found) for rule in stratum.rules
        }
        for number, stratum in enumerate(found):
            assert all(last.get(name, -1) <= number for name in stratum.reads)


@pytest.mark.parametrize(
    "rule",
    [
        Derivation((), "d"),
        Derivation(tuple(f"a{n}" for n in range(9)), "d"),
        Derivation(("a", "a"), "d"),
        Derivation(("d",), "d"),
        Derivation((ALWAYS,), "d"),
        Derivation(("a",), NEVER),
    ],
)
def test_a_rule_that_is_not_plain_is_refused(rule: Derivation) -> None:
    with pytest.raises(ValueError, match="rule"):
        cut([rule])


@pytest.mark.parametrize(
    "stratum",
    [
        Stratum((), ()),
        Stratum((Derivation(("a",), "d"),), ()),
        Stratum((Derivation(("a",), "d"),), ("a", "a")),
        Stratum(tuple(Derivation(("a",), f"d{n}") for n in range(MAX_USES + 1)), ("a",)),
        Stratum(
            tuple(Derivation((f"a{n}",), f"d{n}") for n in range(MAX_CONDITIONS + 1)),
            tuple(f"a{n}" for n in range(MAX_CONDITIONS + 1)),
        ),
    ],
)
def test_a_stratum_beyond_the_limits_is_refused(stratum: Stratum) -> None:
    with pytest.raises(ValueError, match="stratum"):
        check_stratum(stratum)


def test_nothing_gives_no_stratum() -> None:
    assert cut([]) == ()
