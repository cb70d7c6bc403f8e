"""Three readings: advised now, and the two bounds that answers can only narrow."""

from cds.engine.readings import Bounds, Readings
from cds.rulebook.program import Program, Slot
from tests.support.tiny import amount, no, read, tiny, yes

RULES = """
  - id: numb-bars
    title: Numb
    basis: contraindication
    when: {finding: numb, is: yes}
    then: {limit: {mobilization: barred}, care_today: no_hands_on}
    while_unknown: {limit: {mobilization: grade_2}, care_today: with_precautions}
    because: Test.
    evidence: [{source: s-one}]
  - id: thin-bone
    title: Thin bone
    basis: precaution
    when: {finding: density, at_most: -2.5}
    then: {limit: {mobilization: grade_1}}
    while_unknown: nothing
    because: Test.
    evidence: [{source: s-one}]
  - id: aim
    title: Aim
    when: {finding: fall, is: no}
    then: {target: mobilization_3}
    because: Test.
    evidence: [{source: s-one}]
"""


def slot(program: Program, readings: Readings, name: str, key: str | None = None) -> Slot:
    found = readings.slot(name, key)
    assert found is not None
    return found


def words(readings: Readings, name: str, key: str | None = None) -> tuple[str, str, str]:
    where = slot(readings.program, readings, name, key)
    bounds = readings.bounds(where)
    places = (bounds.now, bounds.most_careful, bounds.least_careful)
    return where.values[places[0]], where.values[places[1]], where.values[places[2]]


def test_open_rules_hold_now_and_bound_both_ways() -> None:
    """Now is the hold, most careful what the rules could say, least careful what is decided."""
    found = read(tiny(RULES), {})
    assert words(found, "limit", "mobilization") == ("grade_2", "barred", "grade_4")
    assert words(found, "care_today") == ("with_precautions", "no_hands_on", "proceed")


def test_fired_rules_decide_and_an_open_one_still_bounds() -> None:
    found = read(tiny(RULES), {"density": amount(-30)})
    assert words(found, "limit", "mobilization") == ("grade_1", "barred", "grade_1")


def test_settled_when_nothing_is_open() -> None:
    found = read(tiny(RULES), {"numb": no(), "density": amount(-10), "fall": no()})
    where = slot(found.program, found, "limit", "mobilization")
    assert found.bounds(where) == Bounds(4, 4, 4)
    assert found.bounds(where).settled


def test_permissive_slots_take_only_fired_rules_now() -> None:
    """An open target does not count until it is answered; it only widens the permissive bound."""
    found = read(tiny(RULES), {})
    assert words(found, "target") == ("exercise_only", "exercise_only", "mobilization_3")
    found = read(tiny(RULES), {"fall": no()})
    assert words(found, "target") == ("mobilization_3", "mobilization_3", "mobilization_3")


def test_quiet_rules_say_nothing() -> None:
    found = read(tiny(RULES), {"fall": yes(), "numb": no()})
    assert words(found, "target") == ("exercise_only", "exercise_only", "exercise_only")
    assert found.said(slot(found.program, found, "care_today")).fired == []
