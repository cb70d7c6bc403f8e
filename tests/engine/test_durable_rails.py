"""Positive rules for two rails, against strong Kleene logic worked out by completion of counts."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import count, product

import pytest

from cds.engine.durable_rails import ALWAYS, FALSE, MAX_CONJUNCTS, NEVER, TRUE, RailMaker, Rails


def maker() -> RailMaker:
    numbers = count()
    return RailMaker(lambda: f"new{next(numbers)}")


def closure(make: RailMaker, facts: Iterable[str]) -> set[str]:
    """One pass is enough: everything is derived before it is needed."""
    found = {ALWAYS, *facts}
    for rule in make.derivations:
        if found.issuperset(rule.needs):
            found.add(rule.gives)
    return found


@pytest.mark.parametrize(("size", "need"), [(n, k) for n in range(1, 6) for k in range(1, n + 1)])
def test_at_least_is_kleene(size: int, need: int) -> None:
    make = maker()
    members = [Rails(f"t{n}", f"f{n}") for n in range(size)]
    gate = make.at_least(need, members)
    for states in product((True, False, None), repeat=size):
        facts = [
            (rails.true if state else rails.false)
            for rails, state in zip(members, states, strict=True)
            if state is not None
        ]
        found = closure(make, facts)
        assert (gate.true in found) is (states.count(True) >= need)
        assert (gate.false in found) is (states.count(True) + states.count(None) < need)


def test_a_member_given_twice_counts_twice() -> None:
    make = maker()
    a, b = Rails("ta", "fa"), Rails("tb", "fb")
    gate = make.at_least(2, [a, a, b])
    assert gate.true in closure(make, ["ta"])
    assert gate.true not in closure(make, ["tb"])
    assert gate.false in closure(make, ["fa"])


def test_constants_fold_away() -> None:
    make = maker()
    a = Rails("ta", "fa")
    assert make.at_least(2, [a, TRUE]) == a
    assert make.at_least(1, [a, FALSE]) == a
    assert make.at_least(1, [a, TRUE]) == TRUE
    assert make.at_least(2, [a, FALSE]) == FALSE
    assert (make.all_of([]), make.any_of([])) == (ALWAYS, NEVER)
    assert not make.derivations


def test_denial_exchanges_the_rails() -> None:
    assert Rails("t", "f").denied() == Rails("f", "t")


def test_long_conjunctions_become_chains() -> None:
    make = maker()
    signals = [f"s{n}" for n in range(50)]
    found = make.all_of(signals)
    assert max(len(rule.needs) for rule in make.derivations) <= MAX_CONJUNCTS
    assert found in closure(make, signals)
    for left_out in signals:
        assert found not in closure(make, set(signals) - {left_out})


def test_counting_grows_with_the_product_and_not_with_the_choices() -> None:
    make = maker()
    make.at_least(15, [Rails(f"t{n}", f"f{n}") for n in range(30)])  # 155 million choices
    assert len(make.derivations) < 2 * 3 * 30 * 16


def test_the_same_part_is_made_once() -> None:
    make = maker()
    assert make.all_of(["a", "b"]) == make.all_of(["b", "a"])
    assert make.any_of(["a", "b"]) == make.any_of(["b", "a", NEVER])
    assert len(make.derivations) == 3
