"""A smallest set of answers: it settles, and by exhaustion nothing smaller does."""

from __future__ import annotations

from random import Random

from cds.decide import Decider
from cds.vocabulary.case import Case
from cds.vocabulary.reading import read_case
from cds.vocabulary.write import case_json
from cds.whatif.asks import asks
from cds.whatif.goal import Goal, Goals
from cds.whatif.look import Look, look
from cds.whatif.replies import Said, told
from cds.whatif.settle import Settler, Settling
from tests.whatif.cases import data, fixture, random_books, said_by_hand, shipped

AT_MOST = 1500
"""Cases judged at most by the exhaustive search of a test."""


def after(decider: Decider, case: Case, found: Settling) -> Look:
    """The case with the set given, through the answers' own JSON where it is of findings."""
    says = [one for answer in found["answers"] for one in answer["says"]]
    if not any("record" in one for one in says):
        sent = said_by_hand(case_json(decider.vocabulary, case), [dict(one) for one in says])
        return look(decider, read_case(decider.vocabulary, sent))
    here = look(decider, case)
    for answer in found["answers"]:
        ask = next(a for a in asks(decider, here) if a.key == answer["question"])
        option = next(o for o in ask.options if o.words == answer["answer"])
        here = look(decider, told(decider.vocabulary, here.case, option.said))
    return here


def smaller(decider: Decider, start: Look, goal: Goal, most: int) -> bool | None:
    """Whether some set of at most so many answers settles the case; None: too many to try all."""
    goals, seen, looked = Goals(decider), set(), 0
    layer: list[tuple[Look, frozenset[str]]] = [(start, frozenset())]
    for _ in range(most):
        following: list[tuple[Look, frozenset[str]]] = []
        for here, done in layer:
            for ask in asks(decider, here):
                if not ask.can or any(key.startswith(f"{ask.key}=") for key in done):
                    continue
                for option in ask.options:
                    key = done | {f"{ask.key}={option.words}"}
                    if key in seen:
                        continue
                    seen.add(key)
                    looked += 1
                    if looked > AT_MOST:
                        return None
                    said: tuple[Said, ...] = option.said
                    then = look(decider, told(decider.vocabulary, here.case, said))
                    if goals.settles(then, goal):
                        return True
                    following.append((then, key))
        layer = following
    return False


def test_the_set_settles_and_nothing_smaller_does() -> None:
    proved, several = 0, 0
    for decider, case in random_books(51, books=70, cases=2, rules=16, findings=3):
        start, goals = look(decider, case), Goals(decider)
        if start.status == "stopped":
            continue
        found = Settler(decider).settle(case)
        if not found["possible"]:
            continue
        end = after(decider, case, found)
        assert end.status == "settled"
        assert goals.settles(end, goals.reached(end))
        assert end.headline["text"] == found["then"]["headline"]["text"]
        size = len(found["answers"])
        assert found["at_least"] <= size
        if not found["proved"] or size == 0:
            continue
        assert goals.reached(end) == goals.bound(start)
        if size == 1:
            proved += 1
            assert not goals.settles(start, goals.bound(start))
            continue
        less = smaller(decider, start, goals.bound(start), size - 1)
        assert less is not True
        proved, several = proved + (less is False), several + (less is False)
    assert proved >= 15
    assert several >= 5


def test_where_none_is_found_no_two_answers_settle_it() -> None:
    checked = 0
    for decider, case in random_books(52, books=40, cases=2, rules=16, findings=3):
        start, goals = look(decider, case), Goals(decider)
        if Settler(decider).settle(case)["possible"]:
            continue
        assert smaller(decider, start, goals.worst, 2) is not True
        checked += 1
    assert checked >= 3


def test_no_answer_of_a_set_is_needless() -> None:
    """Each left out in turn: what remains does not settle the case as well, proved or not."""
    rng, tried = Random(53), 0
    for _ in range(8):
        raw = data("clinic-1-acute-pattern-early-thrust")
        for name in rng.sample(sorted(raw["answers"]), 6):
            del raw["answers"][name]
        case = read_case(shipped().vocabulary, raw)
        found = Settler(shipped()).settle(case, looks=60)
        if not found["possible"] or not found["answers"]:
            continue
        goals = Goals(shipped())
        reached = goals.reached(after(shipped(), case, found))
        assert goals.settles(after(shipped(), case, found), reached)
        for place in range(len(found["answers"])):
            rest = found["answers"][:place] + found["answers"][place + 1 :]
            fewer: Settling = {**found, "answers": rest}
            assert not goals.settles(after(shipped(), case, fewer), reached)
            tried += 1
    assert tried >= 8


def test_a_declined_question_is_the_one_to_answer() -> None:
    found = Settler(shipped()).settle(fixture("screen-saddle-declined"))
    assert [(a["question"], a["answer"]) for a in found["answers"]] == [
        ("saddle_sensation", "normal")
    ]
    assert found["proved"]
    assert found["then"]["status"] == "settled"
    assert "never presumed" in found["note"]


def test_a_block_counts_as_one() -> None:
    found = Settler(shipped()).settle(fixture("known-block-not-asked"))
    assert [a["question"] for a in found["answers"]] == ["block:known_in_spine_or_head"]
    assert after(shipped(), fixture("known-block-not-asked"), found).status == "settled"


def test_a_settled_case_needs_nothing() -> None:
    found = Settler(shipped()).settle(fixture("clinic-9-next-visit"))
    assert found["answers"] == []
    assert found["proved"]


def test_levels_come_before_anything_can_be_settled() -> None:
    found = Settler(shipped()).settle(fixture("segments-not-sent"))
    assert not found["possible"]
    assert found["first"][0] == "List the levels that were examined"


def test_a_stopped_case_cannot_be_settled_by_answers() -> None:
    assert not Settler(shipped()).settle(fixture("cauda-equina-bladder"))["possible"]


def test_a_search_that_is_cut_short_claims_no_proof() -> None:
    case = fixture("stale-unchanged-refused")
    short = Settler(shipped()).settle(case, looks=1)
    assert short["possible"]
    assert after(shipped(), case, short).status == "settled"
    assert not short["proved"]
    assert short["at_least"] <= len(short["answers"])
