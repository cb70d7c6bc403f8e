"""Which numbers are tried."""

from __future__ import annotations

from cds.vocabulary.model import Finding, Kind
from cds.whatif.thresholds import cuts, ends, worth_trying
from tests.support.tiny import tiny

RULES = """
  - id: weak
    title: Weak bone
    basis: precaution
    when: {any: [{finding: density, at_most: -2.5}, {finding: density, more_than: 3}]}
    then: {limit: {thrust: barred}}
    while_unknown: nothing
    because: b
    evidence: [{common_practice: x}]
"""


def test_intervals_begin_where_a_test_changes() -> None:
    program = tiny(RULES)
    assert cuts(program, "density") == {-24, 31}
    assert cuts(program, "numb") == set()


def test_both_ends_of_every_interval_are_tried() -> None:
    assert worth_trying(-60, 40, {-24, 31}, lambda _: 0) == [-60, -25, -24, 30, 31, 40]


def test_a_limit_outside_the_range_is_not_tried() -> None:
    assert worth_trying(0, 100, {-5, 0, 300}, lambda _: 0) == [0, 100]


def test_what_is_seen_of_a_number_tells_more_intervals_apart() -> None:
    def stage(days: int) -> str:
        return "acute" if days < 42 else "subacute" if days <= 84 else "chronic"

    assert worth_trying(0, 20000, set(), stage) == [0, 41, 42, 84, 85, 20000]


def test_a_short_scale_is_tried_whole() -> None:
    assert worth_trying(0, 10, {7}, lambda _: 0) == list(range(11))


def test_the_range_is_in_whole_steps() -> None:
    program = tiny(RULES)
    assert ends(program.findings["density"]) == (-60, 40)
    assert ends(Finding("d", Kind.DATE, "?", "Day")) is None
