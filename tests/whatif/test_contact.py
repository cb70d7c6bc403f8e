"""The patient rings."""

from __future__ import annotations

from cds.vocabulary.values import Choice
from cds.whatif.contact import contact, contact_findings, contact_questions
from cds.whatif.replies import Reply, told
from tests.support.tiny import tiny
from tests.whatif.cases import fixture, shipped

PROGRAM = shipped().program

RULES = """
  - id: rings
    title: Numb, told on the telephone
    basis: contraindication
    when: {all: [{feature: moment, is: contact}, {finding: fall, is: yes}]}
    then: {concern: {fracture: emergency}, limit: {hands_on: barred}}
    while_unknown: {limit: {hands_on: barred}}
    because: b
    evidence: [{common_practice: x}]
  - id: numb
    title: Numb
    basis: contraindication
    when: {finding: numb, is: yes}
    then: {concern: {fracture: emergency}, limit: {hands_on: barred}}
    while_unknown: {limit: {hands_on: barred}}
    because: b
    evidence: [{common_practice: x}]
  - id: weak
    title: Weak bone
    basis: precaution
    when: {finding: density, at_most: -2.5}
    then: {concern: {fracture: some}, limit: {thrust: barred}}
    while_unknown: {limit: {thrust: barred}}
    because: b
    evidence: [{common_practice: x}]
"""


def test_questions_follow_from_the_rules() -> None:
    """What contact rules read, and what is asked alone about the emergencies they call."""
    assert contact_findings(tiny(RULES)) == {"fall", "numb"}
    without = tiny(RULES.replace("moment, is: contact", "moment, is: before_session"))
    assert contact_findings(without) == frozenset()


def test_every_finding_that_a_contact_rule_of_the_book_reads_is_asked() -> None:
    asked = {name for q in contact_questions(PROGRAM) for name in q["findings"]}
    assert {"new_leg_symptom", "leg_weakness", "weakness_course", "pain"} <= asked
    assert {"saddle_sensation", "bladder_function", "bowel_function"} <= asked


def test_a_block_stays_whole_and_nothing_is_asked_twice() -> None:
    found = contact_questions(PROGRAM)
    block = next(q for q in found if q.get("block") == "since_last")
    assert block["findings"] == list(PROGRAM.blocks["since_last"].findings)
    names = [name for q in found for name in q["findings"]]
    assert len(names) == len(set(names))


def test_there_are_seven_and_none_is_examined() -> None:
    found = contact_questions(PROGRAM)
    always = [q for q in found if "only_if" not in q and "when_told" not in q]
    assert len(always) == 7
    names = {name for q in found for name in q["findings"]}
    assert not names & {"power", "reflexes", "sensation", "anal_tone", "gait"}


def test_what_is_only_written_down_when_told_comes_last_and_says_so() -> None:
    found = contact_questions(PROGRAM)
    assert [q["findings"] for q in found if "when_told" in q] == [["sexual_function"]]
    assert "when_told" in found[-1]


def test_what_is_asked_on_a_condition_says_on_which() -> None:
    course = next(q for q in contact_questions(PROGRAM) if q["findings"] == ["weakness_course"])
    assert "leg_weakness" in course["only_if"]


def test_the_call_is_decided_with_the_record() -> None:
    case = fixture("clinic-1-acute-pattern")
    numb = told(shipped().vocabulary, case, [Reply("saddle_sensation", None, Choice(("altered",)))])
    advice = contact(shipped(), numb)
    assert advice["moment"] == "contact"
    assert advice["headline"]["kind"] == "emergency"
    during = fixture("clinic-9-latch-in-session")
    assert contact(shipped(), during)["moment"] == "contact"
