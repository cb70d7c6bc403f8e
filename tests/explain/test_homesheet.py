"""The home sheet over every fixture: in everyday words, with every safety text, nothing for the
therapist."""

from __future__ import annotations

import re
from typing import Any

import pytest

from cds.explain.homesheet import TO, home_sheet
from cds.explain.paper import Paper, as_text
from cds.vocabulary.model import LEVELS
from tests.explain.decided import Decided, all_decided, one, strings
from tests.explain.test_note import TOO_MUCH
from tests.support.expected import FORBIDDEN

JARGON = re.compile(
    r"\b(thrust|mobili[sz]ation|muscle energy|grade [IV]+|rung|limit|barred|contraindicat\w+|"
    r"precaution\w*|indicat\w+|positional|prominen\w+|transverse|segment\w*|facet|palpat\w+|"
    r"provocation|concordant|radicular|radiculopathy|cauda equina|myelopathy|neurolog\w+|"
    r"lumbar|thoracolumbar|prognos\w+|comparable sign|guarding|the patient)\b",
    re.IGNORECASE,
)
LEVEL = re.compile(rf"\b({'|'.join(LEVELS)})\b")


def of(item: Decided) -> Paper:
    return home_sheet(item.decider.program, item.advice)


def body(paper: Paper) -> list[str]:
    """Every line but the last section: the names and the edition."""
    return [line for part in paper["sections"][:-1] for line in part["lines"]]


def words(text: str) -> list[str]:
    return re.findall(r"[a-z0-9']+", text.lower())


def test_no_word_of_the_trade() -> None:
    for item in all_decided():
        paper = of(item)
        for text in [*body(paper), *(part["heading"] for part in paper["sections"])]:
            assert not JARGON.search(text), (item.fixture.name, text)
            assert not LEVEL.search(text) and "_" not in text
        for text in strings(paper):
            assert not FORBIDDEN.search(text) and not TOO_MUCH.search(text), text


def test_no_safety_text_loses_a_word() -> None:
    """Whatever the layout: every word of every safety text stands there as often as in the book."""
    for item in all_decided():
        said = words(" ".join(body(of(item))))
        for text in item.advice["safety_net"]:
            for one_word in set(words(text["text"])) - {"thrust", "further", "or", "and"}:
                assert one_word in said, (item.fixture.name, one_word)
        if item.advice["safety_net"]:
            assert "Get help at once" in [part["heading"] for part in of(item)["sections"]]


def test_each_item_of_a_list_keeps_its_own_condition() -> None:
    lines = body(of(one("visceral-fever-and-flank")))
    assert "If you lose weight without trying." in lines
    assert "After a fall or a sudden strain with new severe pain." in lines
    assert "If pain rises by 2 points or more of 10 and has not settled after two days." in lines
    assert "Call your therapist or doctor the same day:" in lines


def test_every_exercise_has_how_how_much_and_when_to_stop() -> None:
    seen = 0
    for item in all_decided():
        paper = of(item)
        headings = [part["heading"] for part in paper["sections"]]
        emergency = any(r["urgency"]["now"] == "emergency" and not r["held_only"]
                        for r in item.advice["referrals"])  # fmt: skip
        count = 0 if emergency else len(item.advice["home"])
        assert headings.count("How much") == count
        assert headings.count("Stop if") == count
        lines = " ".join(body(paper))
        for exercise in item.advice["home"][:count]:
            seen += 1
            assert exercise["dose"].rstrip(".") in lines
            assert all(text in lines for text in (*exercise["how"], *exercise["stop"]))
    assert seen > 200


def test_where_to_go_is_the_first_thing_and_an_emergency_has_no_exercises() -> None:
    for item in all_decided():
        sent = [r for r in item.advice["referrals"]
                if r["urgency"]["now"] != "none" and not r["held_only"]]  # fmt: skip
        paper = of(item)
        first = paper["sections"][0]
        assert (first["heading"] == "Where to go") == bool(sent), item.fixture.name
        if any(r["urgency"]["now"] == "emergency" for r in sent):
            assert "Go to the emergency department of a hospital now." in as_text(paper)
            assert not any(p["heading"].startswith("Exercise") for p in paper["sections"])
    destinations = set(one("visceral-fever-and-flank").decider.program.destinations)
    assert destinations == set(TO)


@pytest.mark.parametrize(
    ("within", "when"),
    [
        ("within 24 to 48 hours", "within 24 to 48 hours"),
        ("contact within 24 hours, imaging within 1 week", "within 24 hours"),
        ("again today by telephone, and record the refusal", "today"),
        ("", "within days"),
    ],
)
def test_the_patient_is_told_the_time_that_the_therapist_is_told(within: str, when: str) -> None:
    item = one("visceral-fever-and-flank")
    (*_, last) = [r for r in item.advice["referrals"] if not r["held_only"]]
    referral: Any = {**last, "to": "physician", "urgency": {"now": "urgent"}, "within": within}
    advice: Any = {**item.advice, "referrals": [referral]}
    lines = body(home_sheet(item.decider.program, advice))
    assert lines[0].startswith(f"You need to be seen by a doctor {when}.")


def syllables(word: str) -> int:
    groups = re.findall(r"[aeiouy]+", word.lower())
    silent = word.lower().endswith("e") and not word.lower().endswith("le") and len(groups) > 1
    return max(1, len(groups) - silent)


def grade(lines: list[str]) -> float:
    """Flesch-Kincaid grade (Kincaid 1975: 0.39 words per sentence + 11.8 syllables per word -
    15.59; from memory). Each line of a list is a sentence."""
    sentences = [s for line in lines for s in re.split(r"[.?!:;]\s*", line) if words(s)]
    found = [w for s in sentences for w in words(s)]
    return (
        0.39 * len(found) / len(sentences) + 11.8 * sum(map(syllables, found)) / len(found) - 15.59
    )


def test_it_reads_at_about_twelve_years() -> None:
    """A child of twelve is in the sixth or seventh grade."""
    grades = {item.fixture.name: grade(body(of(item))) for item in all_decided()
              if body(of(item))}  # fmt: skip
    assert max(grades.values()) < 7.5, sorted(grades.items(), key=lambda pair: pair[1])[-5:]
    assert sum(grades.values()) / len(grades) < 7.0
