from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path
from shutil import copytree

import pytest

from cds.assure.burden.goals import goals, middle
from cds.assure.burden.measure import FIRST, LATER, Measured, lift, measure, measure_folder
from cds.rulebook.choices import chosen
from cds.rulebook.compile import compile_book
from cds.rulebook.load import load_book
from cds.rulebook.vetting import load_program
from tests.assure.burden.support import population, shipped
from tests.support.optional import ROOT

NOISE = """\
language: 1
rules:
  - id: night-pain-alone
    title: Night pain alone
    topic: planted
    phase: judge
    basis: screening
    when: {finding: night_pain, is: unrelieved}
    then:
      care_today: no_hands_on
      referral: {to: physician, urgency: urgent, within: soon}
    while_unknown: nothing
    because: Planted to be noisy.
    evidence: [{common_practice: none}]
    owner: test
    approved: 2026-11-01
    review_by: 2027-11-01
"""


@pytest.fixture(scope="module")
def found() -> Measured:
    return measure(shipped(), population(60, 3))


def test_the_same_seed_gives_the_same_figures(found: Measured) -> None:
    assert measure(shipped(), population(60, 3)) == found
    assert measure(shipped(), population(60, 3), seed=4) != found


def test_counts_add_up(found: Measured) -> None:
    for rates in found.rates.values():
        assert rates.visits == 60
        assert sum(rates.headlines.values()) == 60
        assert sum(rates.urgencies.values()) == 60
        assert max(rates.interrupted, rates.unsettled) <= rates.either
        assert rates.either <= rates.interrupted + rates.unsettled
        assert bool(rates.rules) == bool(rates.interrupted)
    for asked in found.asked.values():
        assert asked.visits <= 3
        assert asked.agree <= 3
        assert len(asked.everything) == asked.visits
        assert len(asked.with_leg) + len(asked.without_leg) == len(asked.hands_on)


def test_serious_conditions_are_counted_with_those_referred() -> None:
    sick = replace(
        population(6, 1),
        conditions=(replace(population().conditions[3], share=1.0),),
    )
    counted = measure(shipped(), sick)
    assert counted.conditions == Counter(cauda_equina=6)
    assert 0 < counted.caught["cauda_equina"] <= 6


def test_every_rule_behind_an_interruption_is_of_the_book(found: Measured) -> None:
    for rates in found.rates.values():
        assert set(rates.rules) <= set(found.titles)
        assert all(rates.alone[rule] <= count for rule, count in rates.rules.items())


def test_a_planted_noisy_rule_is_seen(tmp_path: Path, found: Measured) -> None:
    copytree(ROOT / "rules", tmp_path / "rules")
    (tmp_path / "rules" / "rules" / "planted.yaml").write_text(NOISE, encoding="utf-8")
    noisy = measure(load_program(tmp_path / "rules"), population(60, 3))
    calm, loud = found.rates[FIRST], noisy.rates[FIRST]
    assert loud.rules["night-pain-alone"] >= 3
    assert loud.alone["night-pain-alone"] >= 1
    assert loud.urgent > calm.urgent
    assert loud.interrupted > calm.interrupted
    share = {goal.title: goal for goal in goals(noisy)}["First visits referred urgently or worse"]
    assert not share.met


def test_follow_ups_are_of_patients_who_were_not_stopped(found: Measured) -> None:
    assert found.rates[LATER].interrupted < found.rates[FIRST].interrupted or not (
        found.rates[FIRST].interrupted
    )


def test_floors_are_lifted_and_nothing_else() -> None:
    book = load_book(ROOT / "rules")
    lifted = lift(book)
    assert lifted is not None
    changed = {name for name in book.policy if lifted.policy[name] != book.policy[name]}
    assert changed == {"earliest_thrust_session", "earliest_end_range_session"}
    shipped_floors = {name: book.policy[name].value for name in changed}
    assert chosen(lifted, shipped_floors) == book
    assert compile_book(lifted).digest != shipped().digest
    assert lift(replace(book, policy={})) is None


def test_any_book_is_measured() -> None:
    found = measure_folder(ROOT / "tests" / "rulebook" / "base", population(5, 1))
    assert found.skipped
    assert found.rates[FIRST].visits == 5


def test_goals_are_met_or_not_by_the_figure(found: Measured) -> None:
    found_goals = goals(found)
    assert len(found_goals) == 12
    for goal in found_goals:
        assert goal.met is (goal.value <= goal.at_most)
        assert (goal.count is None) is (goal.of is None)
    assert middle([]) == 0


def test_an_unsettled_visit_counts_as_an_interruption(found: Measured) -> None:
    rates = replace(found.rates[FIRST], either=60, unsettled=60, rules=Counter())
    told = goals(replace(found, rates={FIRST: rates, LATER: found.rates[LATER]}))
    assert [g.title for g in told if g.count == 60] == [
        "First visits interrupted or unsettled",
        "First visits unsettled once everything owed was answered",
    ]
