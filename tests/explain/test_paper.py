"""Papers set as text and as Markdown: the same words, no sign of Markdown out of a value."""

import re

import pytest

from cds.explain.note import note
from cds.explain.paper import (
    WIDTH,
    Paper,
    answer_text,
    as_markdown,
    as_text,
    capital,
    day,
    full_stop,
    how_soon,
    label,
    lower,
    missing_word,
    section,
)
from cds.explain.words import title_of
from cds.vocabulary.values import Missing
from tests.explain.decided import all_decided, one

PAPER: Paper = {
    "title": "A title",
    "sections": [
        section("Items", ["one *two* [x](y)", "one *two* [x](y)", "- three"]),
        section("", ["A paragraph.", "1. not a list"], listed=False),
    ],
}


def test_plain_text() -> None:
    assert as_text(PAPER) == (
        "A title\n=======\n\nItems\n-----\n- one *two* [x](y)\n- - three\n\nA paragraph.\n"
        "1. not a list\n"
    )


def test_markdown_escapes_its_own_signs() -> None:
    assert as_markdown(PAPER) == (
        "# A title\n\n## Items\n\n- one \\*two\\* \\[x\\](y)\n- \\- three\n\nA paragraph.\n\n"
        "\\1. not a list\n"
    )


def test_both_forms_have_the_same_words() -> None:
    def words(text: str) -> list[str]:
        return re.sub(r"[#=\n-]+", " ", text.replace("\\", "")).split()

    for item in all_decided()[::9]:
        paper = note(item.decider.program, item.decider.resolver, item.advice)
        assert words(as_text(paper)) == words(as_markdown(paper))
        assert all(len(line) <= WIDTH for line in as_text(paper).splitlines())


def test_small_words() -> None:
    assert day("2026-11-01") == "1 November 2026"
    assert (full_stop("Stop"), full_stop("Stop.")) == ("Stop.", "Stop.")
    assert (capital("an x"), lower("An x"), lower("MRI")) == ("An x", "an x", "MRI")


@pytest.mark.parametrize("reason", list(Missing))
def test_no_reason_says_that_it_is_absent(reason: Missing) -> None:
    said = missing_word(reason.value)
    assert said and "_" not in said
    assert not re.search(r"\b(absent|negative|none)\b", said)


def test_how_soon_says_the_day_once() -> None:
    item = one("visceral-fever-and-flank")
    [referral] = [r for r in item.advice["referrals"] if r["urgency"]["now"] == "same_day"]
    assert how_soon(referral) == "today"
    [urgent] = [
        r for r in one("infection-two-risks-and-night-pain").advice["referrals"]
        if r["urgency"]["now"] == "urgent"
    ]  # fmt: skip
    assert how_soon(urgent) == "urgent, within 24 to 48 hours"
    [now] = [
        r for r in one("cauda-equina-both-legs-weak").advice["referrals"]
        if r["urgency"]["now"] == "emergency"
    ]  # fmt: skip
    assert now["within"] == "now, for an emergency MRI"
    assert how_soon(now) == "an emergency, now, for an emergency MRI"


def test_labels_and_units() -> None:
    item = one("visceral-fever-and-flank")
    assert label(item.advice["segments"][0]) == "flexed (left)"
    said = {
        title_of(item.decider.program, entry["finding"]): answer_text(item.decider.program, entry)
        for entry in item.advice["answers"]["used"]
    }
    assert said["Duration of this episode"] == "20 days"
