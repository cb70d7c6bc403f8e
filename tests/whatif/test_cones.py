"""On what open rules wait, and which answers touch it."""

from __future__ import annotations

from random import Random

from cds.whatif.asks import asks
from cds.whatif.cones import Cones, Reach
from cds.whatif.look import look
from cds.whatif.replies import told
from tests.whatif.cases import random_books


def test_an_open_rule_stays_open_until_its_cone_is_touched() -> None:
    """For random cases and answers: a rule that closes had an unknown input that was touched."""
    rng, closed = Random(5), 0
    for decider, case in random_books(21, books=25, cases=3):
        cones, reach = Cones(decider.program), Reach(decider.program, decider.vocabulary)
        before = look(decider, case)
        answerable = [ask for ask in asks(decider, before) if ask.can]
        for ask in rng.sample(answerable, min(4, len(answerable))):
            option = rng.choice(ask.options)
            after = look(decider, told(decider.vocabulary, case, option.said))
            for number in set(before.readings.outcome.open) - set(after.readings.outcome.open):
                assert reach.touches(ask, cones.of(before, number)), (ask.key, number)
                closed += 1
    assert closed > 40


def test_what_is_decided_waits_for_nothing() -> None:
    for decider, case in random_books(22, books=6, cases=2):
        cones, seen = Cones(decider.program), look(decider, case)
        for number in seen.readings.outcome.fired:
            assert cones.of(seen, number) == frozenset()
        for number in seen.readings.outcome.open:
            assert cones.of(seen, number)
