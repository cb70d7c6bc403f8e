"""Open questions with their answers."""

from __future__ import annotations

from cds.whatif.asks import NOTHING_NEW, Ask, asks, of_finding
from cds.whatif.look import look
from cds.whatif.replies import Reply
from tests.whatif.cases import fixture, shipped


def of(name: str) -> dict[str, Ask]:
    return {ask.key: ask for ask in asks(shipped(), look(shipped(), fixture(name)))}


def test_the_questions_of_a_block_are_asked_as_one() -> None:
    found = of("known-block-not-asked")
    ask = found["block:known_in_spine_or_head"]
    assert ask.owed
    assert ask.options[0].words == NOTHING_NEW
    quiet = ask.options[0].said
    assert {one.finding for one in quiet if isinstance(one, Reply)} == {n for n, _ in ask.members}
    # one of them told, the others answered as by the block
    for option in ask.options[1:]:
        differs = [a for a, b in zip(option.said, quiet, strict=True) if a != b]
        assert len(differs) == 1


def test_every_question_of_the_advice_is_asked_for() -> None:
    case = fixture("screen-blocks-not-asked")
    seen = look(shipped(), case)
    members = {member for ask in asks(shipped(), seen) for member, _ in ask.members}
    wanted = {q["finding"] for q in seen.questions if q["finding"] in shipped().program.findings}
    assert wanted <= members


def test_the_order_is_that_of_the_advice() -> None:
    seen = look(shipped(), fixture("screen-blocks-not-asked"))
    order = {q["finding"]: place for place, q in reversed([*enumerate(seen.questions)])}
    places = [
        min(order[name] for name, _ in ask.members if name in order)
        for ask in asks(shipped(), seen)
        if ask.members
    ]
    assert places == sorted(places)


def test_a_question_asked_alone_is_never_in_a_block() -> None:
    program = shipped().program
    for ask in of("empty-case").values():
        if ask.block is not None:
            assert not any(program.findings[name].ask_alone for name, _ in ask.members)


def test_levels_that_were_not_listed_cannot_be_answered_for() -> None:
    ask = of("segments-not-sent")["record:segments"]
    assert not ask.can
    assert ask.options == ()


def test_every_word_of_a_choice_is_an_answer() -> None:
    seen = look(shipped(), fixture("screen-saddle-declined"))
    finding = shipped().program.findings["saddle_sensation"]
    ask = of_finding(shipped(), seen, finding, None)
    assert len(ask.options) == len(finding.values)


def test_stages_are_told_apart_though_no_rule_tests_the_days() -> None:
    seen = look(shipped(), fixture("empty-case"))
    ask = of_finding(shipped(), seen, shipped().program.findings["duration_days"], None)
    numbers = [option.number for option in ask.options]
    # under 6 weeks, 6 to 12, over 12: both sides of both limits are tried
    for limit in (41, 42, 84, 85):
        assert limit in numbers
