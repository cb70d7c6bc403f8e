"""Conclusions, inputs and tests in words."""

from pathlib import Path

import pytest

from cds.explain.sayings import conclusion_text, conclusion_texts, fact_text, input_text
from cds.rulebook.vetting import load_program
from cds.vocabulary import advice
from cds.vocabulary.model import CARE
from tests.explain.decided import all_decided, strings

PROGRAM = load_program(Path(__file__).parents[2] / "rules")


@pytest.mark.parametrize(
    ("slot", "value", "said"),
    [
        ("care_today", "no_hands_on", "no hands-on care"),
        ("care_today", CARE[1], "go on with precautions"),
        ("referral.physician", "urgent", "refer to physician, urgent"),
        ("concern.infection", "high", "high concern for infection of the spine"),
        ("limit.thrust", "barred", "high-velocity low-amplitude thrust: barred"),
        ("limit.mobilization@L5", "grade_3",
         "non-thrust mobilization at L5: no further than grade III"),
        ("limit.mobilization@unnamed", "barred", "non-thrust mobilization: barred"),
        ("indication.muscle_energy@L4", "yes", "muscle energy technique is indicated at L4"),
        ("target", "mobilization_2", "response and need reach as far as mobilization grade II"),
        ("progress_earned", "yes", "the last session earned the next rung"),
        ("next_step", "refer_back", "next step of the course: refer back"),
    ],
)  # fmt: skip
def test_one_conclusion(slot: str, value: str, said: str) -> None:
    assert conclusion_text(PROGRAM, slot, value) == said


def test_all_families_barred_is_said_once_and_not_beside_no_hands_on_care() -> None:
    barred = [(f"limit.{family.name}", "barred") for family in PROGRAM.ladder.of_group("hands_on")]
    assert conclusion_texts(PROGRAM, barred) == ["all hands-on care: barred"]
    assert conclusion_texts(PROGRAM, [*barred, ("care_today", "no_hands_on")]) == [
        "no hands-on care"
    ]
    at_level = [(f"{slot}@L5", value) for slot, value in barred]
    assert conclusion_texts(PROGRAM, at_level) == ["all hands-on care at L5: barred"]


def test_the_gravest_is_said_first_and_what_is_only_shown_not_at_all() -> None:
    said = [
        ("next_step", "refer_back"), ("limit.thrust", "barred"), ("cautions", "next-re-examine"),
        ("concern.infection", "high"), ("referral.physician", "urgent"),
    ]  # fmt: skip
    assert [text.split()[0] for text in conclusion_texts(PROGRAM, said)] == [
        "refer", "high", "high-velocity", "next",
    ]  # fmt: skip


def test_inputs_exact_open_and_not_applying() -> None:
    assert input_text(PROGRAM, {"name": "saddle_sensation", "value": "altered"}).endswith(
        ": altered"
    )
    assert input_text(PROGRAM, {"name": "sex", "one_of": ["male", "other"]}) == "Sex: male or other"
    assert input_text(PROGRAM, {"name": "age", "low": "60", "high": "64"}) == "Age: 60 to 64"
    assert input_text(PROGRAM, {"name": "age", "low": "60"}) == "Age: at least 60"
    assert input_text(PROGRAM, {"name": "age", "high": "64"}) == "Age: at most 64"
    assert input_text(PROGRAM, {"name": "age", "not_applicable": True}) == "Age: does not apply"


def test_a_test_says_what_it_stands_on() -> None:
    said: advice.Test = {"text": "Age is at least 65 years", "result": "unknown", "input": "age"}
    assert fact_text(PROGRAM, said, {}) == "age: not known"
    said = {"text": "X", "result": "true", "policy": "progress_by", "value": "response_and_floor"}
    assert fact_text(PROGRAM, said, {}) == (
        "local policy (what opens the next rung): response and floor"
    )
    said = {"text": "No lasting gain over the course holds", "result": "false", "steps": [],
            "ruled_out": ["gain-missing"]}  # fmt: skip
    assert fact_text(PROGRAM, said, {}) == "not concluded: no lasting gain over the course"
    said = {"text": "Progress earned holds", "result": "true", "steps": [3]}
    assert fact_text(PROGRAM, said, {}) == "progress earned"
    said = {"text": "Progress earned holds", "result": "false", "steps": [3]}
    assert fact_text(PROGRAM, said, {}) == "not: progress earned"
    said = {"text": "Progress earned holds", "result": "unknown", "steps": []}
    assert fact_text(PROGRAM, said, {}) == "not known yet: progress earned holds"


def test_no_word_of_the_vocabulary_shows_through() -> None:
    """Over every step of every fixture: no underscore, and nothing that claims too much."""
    for item in all_decided():
        program = item.decider.program
        inputs = {entry["name"]: entry for entry in item.advice["chain"]["inputs"]}
        for step in item.advice["chain"]["steps"]:
            said = [(c["slot"], c["value"]) for c in step["conclusions"]]
            found = conclusion_texts(program, said)
            found += [fact_text(program, test, inputs) for test in step["tests"]]
            for text in strings(found):
                assert "_" not in text and "@" not in text, (step["rule"], text)
                assert "unnamed" not in text
