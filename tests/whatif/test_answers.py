"""Effects of answers: what is said of an answer is what the advice says once it is given."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from cds.decide import Decider
from cds.problems import CaseError
from cds.vocabulary.advice import Advice
from cds.vocabulary.case import Case
from cds.vocabulary.reading import read_case
from cds.vocabulary.write import case_json
from cds.whatif.answers import (
    QuestionEffects,
    UnknownQuestionError,
    effects_of,
    effects_of_finding,
)
from cds.whatif.effects import State
from tests.support.randomcase import random_case
from tests.whatif.cases import fixture, random_books, said_by_hand, shipped


def of(name: str, finding: str, level: str | None = None) -> QuestionEffects:
    return effects_of_finding(shipped(), fixture(name), finding, level)


def check_true(decider: Decider, case: Case, found: list[QuestionEffects]) -> int:
    """Every answer is given by hand, and the advice compared with what was said of it."""
    checked = 0
    sent = case_json(decider.vocabulary, case)
    for question in found:
        for answer in question["answers"]:
            for says in answer["says"][:3]:
                if not any("record" in one for one in says):
                    checked += _true(decider, sent, list(says), answer["then"])
    return checked


def _true(decider: Decider, sent: dict[str, Any], says: list[Any], then: State) -> bool:
    try:
        told = read_case(decider.vocabulary, said_by_hand(sent, says))
    except CaseError as error:  # an answer that makes another one of today not apply
        assert {p.code for p in error.problems} == {"does-not-apply"}
        return False
    advice = decider.decide(told)
    assert advice["headline"]["text"] == then["headline"]["text"]
    assert advice["status"] == then["status"]
    assert advice["care_today"]["now"] == then["care_today"]
    assert {
        r["to"]: r["urgency"]["now"] for r in advice["referrals"] if r["urgency"]["now"] != "none"
    } == {r["to"]: r["urgency"] for r in then["referrals"]}
    assert [
        (s["level"], s["path"]["up_to"]["now"])
        for s in advice["segments"]
        if s["level"] != "unnamed"
    ] == [(entry["level"], entry["up_to"]) for entry in then["levels"]]
    return True


def test_what_is_said_of_an_answer_is_what_the_advice_says_then() -> None:
    checked = 0
    for name in ("screen-saddle-declined", "stale-screen-expired", "anticoagulant-bruising"):
        checked += check_true(shipped(), fixture(name), effects_of(shipped(), fixture(name), 6))
    rng = Random(11)
    for _ in range(5):
        case = read_case(shipped().vocabulary, random_case(rng, shipped().vocabulary))
        checked += check_true(shipped(), case, effects_of(shipped(), case, 4))
    for decider, case in random_books(12, books=18, cases=2):
        checked += check_true(decider, case, effects_of(decider, case, 6))
    assert checked > 150


def thrust_at(advice: Advice) -> set[str]:
    """The levels at which a thrust stands in today's path."""
    return {
        segment["level"]
        for segment in advice["segments"]
        if "thrust" in [step["rung"] for step in segment["path"]["steps"]]
    }


def referred(advice: Advice) -> set[tuple[str, str]]:
    return {
        (r["title"], r["urgency"]["now"].replace("_", " "))
        for r in advice["referrals"]
        if r["urgency"]["now"] != "none"
    }


def holds(text: str, before: Advice, after: Advice) -> bool | None:
    """Whether the advices bear the words out; None for words that this test does not read."""
    opened = thrust_at(after) - thrust_at(before)
    shut = thrust_at(before) - thrust_at(after)
    if text.startswith("thrust opens at "):
        return set(text.removeprefix("thrust opens at ").split(", ")) == opened
    if text.startswith("thrust is shut"):
        return set(text.rpartition(" at ")[2].split(", ")) <= shut
    if text.startswith("refer to "):
        to, _, urgency = text.removeprefix("refer to ").partition(", ")
        urgency = urgency.removesuffix(", held until answered")
        if ": no longer only held" in urgency:
            return (to, urgency.partition(":")[0]) in referred(after) & referred(before)
        return (to, urgency) in referred(after) - referred(before)
    if text.startswith("no referral to "):
        to = text.removeprefix("no referral to ")
        return to in {t for t, _ in referred(before)} - {t for t, _ in referred(after)}
    if text == "no hands-on care":
        return before["care_today"]["now"] != after["care_today"]["now"] == "no_hands_on"
    if text in ("settled", "stops here"):
        return after["status"] == {"settled": "settled", "stops here": "stopped"}[text]
    return None


READ_CASES = (
    "pregnancy-not-asked", "screen-saddle-declined", "known-block-not-asked",
    "stale-screen-expired", "clinic-1-acute-pattern-early-thrust", "anticoagulant-bruising",
)  # fmt: skip


def test_every_word_said_of_an_answer_is_borne_out_by_deciding_it() -> None:
    """Both ways: what is said holds, and a thrust or a referral that comes is never left unsaid."""
    read: dict[str, int] = {}
    for name in READ_CASES:
        case = fixture(name)
        before = shipped().decide(case)
        sent = case_json(shipped().vocabulary, case)
        for question in effects_of(shipped(), case, 8):
            for answer in question["answers"]:
                says = [dict(one) for one in answer["says"][0]]
                if any("record" in one for one in says):
                    continue
                try:
                    told = read_case(shipped().vocabulary, said_by_hand(sent, says))
                except CaseError:
                    continue
                after = shipped().decide(told)
                for text in answer["changes"]:
                    verdict = holds(text, before, after)
                    assert verdict is not False, f"{name}, {question['question']}: {text}"
                    if verdict:
                        kind = " ".join(text.split()[:2])
                        read[kind] = read.get(kind, 0) + 1
                said = " | ".join(answer["changes"])
                assert ("thrust opens" in said) == bool(thrust_at(after) - thrust_at(before))
                for to, urgency in referred(after) - referred(before):
                    assert f"refer to {to}, {urgency}" in said
    assert {"thrust opens", "refer to", "no hands-on", "settled", "stops here"} <= set(read)


def test_the_questions_come_in_the_order_of_the_advice_with_owed_ones_first() -> None:
    for name in READ_CASES[:3]:
        advice = shipped().decide(fixture(name))
        found = effects_of(shipped(), fixture(name), 40)
        assert [q["owed"] for q in found] == sorted((q["owed"] for q in found), reverse=True)
        place: dict[str, int] = {}
        for number, asked in enumerate(advice["open_questions"]):
            key = asked["finding"] + (f"@{asked['level']}" if "level" in asked else "")
            place.setdefault(key, number)
        for owed in (True, False):
            places = [place[q["question"]] for q in found
                      if q["owed"] is owed and q["question"] in place]  # fmt: skip
            assert places == sorted(places), name


def test_words_come_from_the_results() -> None:
    found = of("screen-saddle-declined", "saddle_sensation")
    by_words = {answer["if_answered"]: answer for answer in found["answers"]}
    assert by_words["altered"]["then"]["headline"]["kind"] == "emergency"
    assert any("emergency" in text for text in by_words["altered"]["changes"])
    assert by_words["normal"]["then"]["status"] == "settled"
    assert "settled" in by_words["normal"]["changes"]
    assert "if altered: refer to Emergency department, emergency" in found["words"]


def test_thrust_is_said_to_open_where_it_does() -> None:
    found = of("pregnancy-not-asked", "pregnancy")
    no = next(answer for answer in found["answers"] if answer["if_answered"].startswith("no"))
    levels = [entry["level"] for entry in no["then"]["levels"] if entry["thrust"]]
    assert levels
    assert any(text.startswith("thrust opens at") for text in no["changes"])


def test_answers_of_one_effect_stand_together_and_each_answer_once() -> None:
    for question in effects_of(shipped(), fixture("screen-blocks-not-asked"), 5):
        states = [repr(answer["then"]) for answer in question["answers"]]
        assert len(states) == len(set(states))
        says = [repr(one) for answer in question["answers"] for one in answer["says"]]
        assert len(says) == len(set(says))


def test_a_block_is_one_question_and_none_of_these_its_first_answer() -> None:
    found = effects_of(shipped(), fixture("known-block-not-asked"), 3)
    blocks = [question for question in found if "block" in question]
    assert blocks
    first = blocks[0]["answers"][0]
    assert first["if_answered"].startswith("none of these")
    assert len(first["says"][0]) > 1


def test_numbers_are_tried_on_both_sides_of_every_limit() -> None:
    found = of("clinic-1-acute-pattern", "systolic_pressure")
    assert [answer["if_answered"] for answer in found["answers"]] == [
        "50 to 159", "160 to 179", "180 to 300",
    ]  # fmt: skip


def test_an_answer_that_changes_nothing_alone_says_so() -> None:
    found = of("clinic-1-acute-pattern", "pulsatile_mass")
    no = next(answer for answer in found["answers"] if answer["if_answered"] == "no")
    assert no["changes"] == []
    assert "if no: nothing changes by this answer alone" in found["words"]


def test_what_waits_for_the_record_is_asked_as_entries_of_it() -> None:
    found = effects_of(shipped(), fixture("consent-not-sent"), 3)
    consent = next(q for q in found if q["question"] == "record:consents.today")
    words = [answer["if_answered"] for answer in consent["answers"]]
    assert any("hands on and thrust" in text for text in words)
    assert any("none" in text for text in words)


def test_a_finding_that_is_none_is_refused() -> None:
    with pytest.raises(UnknownQuestionError):
        of("consent-not-sent", "no_such_finding")
    with pytest.raises(UnknownQuestionError):
        of("consent-not-sent", "segment.mobility", "T10")
    with pytest.raises(UnknownQuestionError):
        of("consent-not-sent", "pain", "L5")
