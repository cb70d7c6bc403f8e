"""A letter for every referral advised: urgency, reason, findings with days, what was not asked."""

from __future__ import annotations

import re

from cds.explain.letter import OPEN, Letter, letters
from cds.explain.paper import Paper, answer_text, as_text, day
from cds.explain.words import title_of, word
from cds.vocabulary.reading import read_case
from tests.explain.decided import Decided, all_decided, one, strings
from tests.explain.test_note import TOO_MUCH
from tests.support.expected import FORBIDDEN
from tests.support.fixtures import decider


def of(item: Decided) -> list[Letter]:
    return letters(item.decider.program, item.advice)


def lines(paper: Paper, heading: str) -> list[str]:
    return next((p["lines"] for p in paper["sections"] if p["heading"].startswith(heading)), [])


def test_one_letter_for_each_referral_and_none_else() -> None:
    for item in all_decided():
        wanted = [(r["to"], r["urgency"]["now"]) for r in item.advice["referrals"]
                  if r["urgency"]["now"] != "none"]  # fmt: skip
        assert [(letter["to"], letter["urgency"]) for letter in of(item)] == wanted


def test_each_says_whom_how_urgent_and_why() -> None:
    seen = 0
    for item in all_decided():
        steps = {s["rule"]: s for s in item.advice["chain"]["steps"]}
        referrals = {r["to"]: r for r in item.advice["referrals"]}
        for letter in of(item):
            seen += 1
            paper, referral = letter["paper"], referrals[letter["to"]]
            assert paper["title"] == f"Referral to: {referral['title']}"
            asked = lines(paper, "What is asked for")
            assert asked[0].startswith("How urgent: ")
            assert referral["within"] in asked[0]
            assert (len(asked) > 1 and "without waiting" in asked[1]) == (
                letter["urgency"] in ("emergency", "same_day")
            )
            why = " ".join(lines(paper, "Why"))
            assert why, item.fixture.name
            for rule in referral["rules"]:
                if rule in steps and steps[rule]["status"] == "fired":
                    assert steps[rule]["title"] in why and steps[rule]["because"] in why
    assert seen > 100


def test_the_most_urgent_reason_comes_first() -> None:
    item = one("visceral-fever-and-flank")
    [letter] = of(item)
    first, second = lines(letter["paper"], "Why")
    assert first.startswith("Fever with pain in the flank")
    assert second.startswith("Fever with back pain")
    [suspected] = [t for t in strings(letter["paper"]) if t.startswith("Suspected, not proven")]
    assert "infection of the spine" in suspected


def test_what_was_found_stands_with_its_day_and_is_what_was_recorded() -> None:
    for item in all_decided():
        program = item.decider.program
        said = {
            f"{title_of(program, e['finding'])}: {answer_text(program, e)}": e
            for e in item.advice["answers"]["used"]
        }
        for letter in of(item):
            for line in lines(letter["paper"], "What was found"):
                match = re.fullmatch(r"(.*) \(([^()]*), (\d{1,2} \w+ \d{4})\)\.", line)
                assert match, line
                entry = said[match[1]]
                assert match[3] == day(entry["observed"])
                assert entry.get("by", "") in match[2]


def test_the_answers_it_rests_on_come_first() -> None:
    found = lines(of(one("visceral-fever-and-flank"))[0]["paper"], "What was found")
    assert {line.partition(":")[0] for line in found[:2]} == {
        "Pain in the flank",
        "Unwell or fever",
    }


def test_what_was_not_asked_is_listed() -> None:
    for item in all_decided():
        owed = [q for q in item.advice["open_questions"] if q["owed"]]
        for letter in of(item):
            listed = " ".join(lines(letter["paper"], "What was not asked")).lower()
            for question in owed:
                name = question["finding"]
                where = f"{name}@{question['level']}" if "level" in question else name
                assert title_of(item.decider.program, where).lower() in listed


def test_names_and_signature_are_left_open_and_nothing_claims_too_much() -> None:
    for item in all_decided():
        for letter in of(item):
            text = as_text(letter["paper"])
            assert text.count(OPEN) == 4
            for line in strings(letter["paper"]):
                assert not FORBIDDEN.search(line) and not TOO_MUCH.search(line), line
                assert "_" not in line.replace(OPEN, ""), line
            for ident in (item.case.subject, item.case.episode):
                assert ident is None or ident not in text


def test_a_referral_that_only_a_hold_asks_for_is_a_draft() -> None:
    held = 0
    for item in all_decided():
        referrals = {r["to"]: r for r in item.advice["referrals"]}
        for letter in of(item):
            assert letter["held"] == referrals[letter["to"]]["held_only"]
            assert ("DRAFT" in as_text(letter["paper"])) == letter["held"]
            held += letter["held"]
    deciding = decider()
    case = read_case(deciding.vocabulary, {"as_of": "2026-11-20", "moment": "before_session"})
    for letter in letters(deciding.program, deciding.decide(case)):
        assert letter["held"] and word("DRAFT") in as_text(letter["paper"])
