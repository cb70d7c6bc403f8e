"""The home sheet for the patient: where to go, when to get help, what to do at home.

Only the rule book's own words for patients, laid out in short lines, and headings in everyday
words. Texts that speak about the patient are for the therapist and stay out; a word of the trade
that a safety text needs is said in everyday words, so that no safety text is ever left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from cds.explain.paper import Paper, Section, capital, day, full_stop, lower, prepared_with, section
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, ExerciseText, Referral

EVERYDAY = (
    ("have no further thrust", "have no more of the quick push"),
    ("after a thrust", "after the quick push"),
    ("a thrust", "a quick push"),
    ("thrust", "quick push"),
    ("prior to", "before"),
)
"""Words of the trade, and how they are said to a patient."""

_PROFESSIONAL = re.compile(
    r"\bthe patient('s)?\b|\bpatients\b|\bAgree a plan\b|\bNo level of\b|\bbarred\b|\brung\b",
    re.IGNORECASE,
)
"""A text with one of these speaks to the therapist."""

_SENTENCE = re.compile(r"(?<=[.?!])\s+(?=[A-Z])")
_NOW = re.compile(r"\bemergency (department|help)\b|\bhelp\s+at once\b", re.IGNORECASE)
_RING = re.compile(r"\b(call|ring)\b", re.IGNORECASE)

_WITHIN = re.compile(r"\btoday\b|\bwithin \d+(?: to \d+)? (?:hour|day|week)s?\b")
"""A time that a referral names, in words a patient reads."""

TO = {
    "emergency_department": "the emergency department of a hospital",
    "spinal_service": "the spine team of a hospital",
    "physician": "a doctor",
    "imaging": "a doctor, who can arrange a scan",
    "vascular_service": "the team for blood vessels of a hospital",
    "rheumatology": "a doctor for joints",
    "maternity_care": "your maternity team",
}
"""Where patients are sent, in everyday words; another destination by its own title."""

WHEN = {"emergency": "now", "same_day": "today", "urgent": "within days", "routine": "soon"}


def home_sheet(program: Program, advice: Advice) -> Paper:
    """The home sheet of one advice."""
    now, ring = _nets(text["text"] for text in advice["safety_net"])
    sent = [r for r in advice["referrals"] if not r["held_only"] and r["urgency"]["now"] != "none"]
    sections = [
        section("Where to go", [_sent(referral) for referral in sent], listed=False),
        *_listed("Get help at once", now),
        *_listed("Call us", ring),
    ]
    if all(referral["urgency"]["now"] != "emergency" for referral in sent):
        # somebody on the way to hospital has no exercises to do
        for number, exercise in enumerate(advice["home"], start=1):
            sections += _exercise(number, exercise)
        told = [
            _everyday(text["text"]) for text in advice["education"] if _for_patient(text["text"])
        ]
        sections.append(section("Good to know", told, listed=False))
    sections.append(
        section(
            "",
            [
                "Your therapist: ____________________",
                "Telephone: ____________________",
                prepared_with(advice),
            ],
            listed=False,
        )
    )
    return {
        "title": f"Your sheet for home, {day(advice['as_of'])}",
        "sections": [part for part in sections if part["lines"]],
    }


def _sent(referral: Referral) -> str:
    urgency = referral["urgency"]["now"]
    where = TO.get(referral["to"], lower(referral["title"]))
    if urgency == "emergency":
        return f"Go to {where} now. Do not wait, and do not drive yourself."
    # the same time as the headline and the letter say; where it names two, the sooner
    named = _WITHIN.search(referral["within"])
    when = named.group() if named else WHEN.get(urgency, "")
    return f"You need to be seen by {where} {when}. Your therapist will help to arrange it."


def _exercise(number: int, exercise: ExerciseText) -> list[Section]:
    return [
        section(f"Exercise {number}: {lower(_everyday(exercise['title']))}",
                [_everyday(line) for line in exercise["how"]]),
        section("How much", [full_stop(_everyday(exercise["dose"]))], listed=False),
        section("Stop if", [_everyday(line) for line in exercise["stop"]]),
    ]  # fmt: skip


def _for_patient(text: str) -> bool:
    return not _PROFESSIONAL.search(text)


def _everyday(text: str) -> str:
    for trade, plain in EVERYDAY:
        text = re.sub(rf"\b{trade}\b", plain, text)
        text = re.sub(rf"\b{trade.capitalize()}\b", plain.capitalize(), text)
    return text


def _nets(texts: Iterable[str]) -> tuple[list[str], list[str]]:
    """The sentences of the safety net: those for help at once, and those for a call.

    A sentence that is neither stays with the one before it, and the first with the one after it.
    """
    now: list[str] = []
    ring: list[str] = []
    for text in texts:
        place: list[str] | None = None
        waiting: list[str] = []
        for sentence in _SENTENCE.split(_everyday(text)):
            if _NOW.search(sentence):
                place = now
            elif _RING.search(sentence):
                place = ring
            if place is None:
                waiting.append(sentence)
                continue
            place.extend([*waiting, sentence])
            waiting = []
        ring.extend(waiting)
    return list(dict.fromkeys(now)), list(dict.fromkeys(ring))


def _listed(heading: str, sentences: list[str]) -> list[Section]:
    """Sentences under a heading; a sentence that lists signs becomes its lead and a list."""
    found: list[Section] = []
    for sentence in sentences:
        lead, items = _items(sentence)
        first = not found
        if not items and found and not found[-1]["listed"]:
            found[-1]["lines"].append(lead)
            continue
        found.append(section(heading if first else "", [lead], listed=False))
        if items:
            found.append(section("", items))
    return found


def _items(sentence: str) -> tuple[str, list[str]]:
    """`Go … if any of these starts: a; b; c.` as its lead and `a`, `b`, `c`."""
    lead, colon, rest = sentence.partition(": ")
    if colon and ";" in rest:
        return f"{lead}:", [full_stop(capital(item)) for item in rest.rstrip(".").split("; ")]
    lead, condition, rest = sentence.rstrip(".").partition(" if ")
    clauses = re.split(r", (?:or |and )?(?=if |after )", f"if {rest}") if condition else []
    if len(clauses) > 2 and "," not in lead:
        return f"{lead}:", [full_stop(capital(clause)) for clause in clauses]
    return sentence, []
