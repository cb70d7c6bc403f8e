from __future__ import annotations

from cds.assure.report.links import links_of
from cds.rulebook.book import Phase
from cds.rulebook.conditions import Source, leaves
from tests.assure.report.support import small
from tests.support.shipped import shipped_service


def test_readers_of_a_conclusion_are_fed_by_those_who_write_it() -> None:
    links = links_of(small())
    assert links.feeds["stirred-up"] == ("irritable-levels",)
    assert links.fed_by["irritable-levels"] == ("stirred-up",)
    assert links.feeds["concordant-level"] == ("thrust-late",)
    assert "settled-down" not in links.feeds
    # a key of a limit: only those who write that very family
    assert links.fed_by["side-lying-card"] == ("hot-after-fall",)


def test_readers_choosers_citers() -> None:
    links = links_of(small())
    assert set(links.readers["segment.provocation"]) == {"irritable-levels", "concordant-level"}
    assert links.readers["earliest_thrust_session"] == ("thrust-late",)
    assert "irritable" not in links.readers
    assert links.choosers["mind-the-side"] == ("same-side",)
    assert links.choosers["press-up"] == ("side-lying-card",)
    assert set(links.citers["other-guide"]) == {"cauda-equina", "stirred-up", "settled-down"}


def test_the_path_of_the_day_stands_between_judging_and_preparing() -> None:
    links = links_of(small())
    assert links.from_path == {"side-lying-card"}
    assert {"cauda-equina", "thrust-late", "concordant-level"} <= links.to_path
    assert "stirred-up" not in links.to_path


def test_numbers_follow_the_order_and_preparing_comes_last() -> None:
    program = shipped_service().program
    links = links_of(program)
    ids = [rule for rules in links.order.values() for rule in rules]
    assert sorted(ids) == sorted(program.rules)
    assert [links.numbers[rule] for rule in ids] == list(range(1, len(ids) + 1))
    topics = list(links.order)
    prepares = [
        all(program.rules[rule].phase is Phase.PREPARE for rule in links.order[topic])
        for topic in topics
    ]
    assert prepares == sorted(prepares)
    assert topics.index("red_flags") < topics.index("limits") < topics.index("target")


def test_inside_a_topic_rules_stand_as_written() -> None:
    (rules,) = links_of(small()).order.values()
    assert rules[:3] == ("cauda-equina", "hot-after-fall", "stirred-up")


def test_each_reader_is_fed_when_it_reads_a_conclusion_somebody_writes() -> None:
    program = shipped_service().program
    links = links_of(program)
    reading = {
        rule.id
        for rule in program.rules.values()
        if any(leaf.source is Source.CONCLUSION for leaf in leaves(rule.when))
    }
    assert reading == set(links.fed_by)
    assert reading
