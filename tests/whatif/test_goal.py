"""How far a case could be settled, and what is in the way."""

from __future__ import annotations

from random import Random

from cds.whatif.asks import asks
from cds.whatif.goal import Goal, Goals
from cds.whatif.look import look
from cds.whatif.replies import told
from tests.whatif.cases import fixture, random_books, shipped


def test_no_answers_come_to_more_than_the_bound() -> None:
    rng, steps = Random(8), 0
    for decider, case in random_books(31, books=40, cases=3):
        goals = Goals(decider)
        here = look(decider, case)
        bound = goals.bound(here)
        for _ in range(4):
            answerable = [ask for ask in asks(decider, here) if ask.can]
            if not answerable:
                break
            option = rng.choice(rng.choice(answerable).options)
            here = look(decider, told(decider.vocabulary, here.case, option.said))
            reached = goals.reached(here)
            assert reached.care >= bound.care
            assert reached.urgency >= bound.urgency
            assert reached.short >= bound.short
            steps += 1
    assert steps > 60


def test_a_settled_case_meets_its_own_goal() -> None:
    goals = Goals(shipped())
    seen = look(shipped(), fixture("clinic-1-acute-pattern"))
    assert seen.status == "settled"
    assert goals.settles(seen, goals.reached(seen))
    better = goals.reached(seen)
    assert not goals.settles(seen, Goal(better.care, better.urgency, better.short - 1))


def test_what_is_in_the_way_names_the_missing_answer() -> None:
    goals = Goals(shipped())
    seen = look(shipped(), fixture("screen-saddle-declined"))
    needed = goals.needed(seen, goals.bound(seen))
    assert frozenset({"saddle_sensation"}) in needed


def test_a_stopped_case_has_lost_every_goal() -> None:
    goals = Goals(shipped())
    seen = look(shipped(), fixture("cauda-equina-bladder"))
    assert goals.lost(seen, goals.bound(seen))
