"""What is written for people to keep: headed sections of lines, and how they are set as text."""

from __future__ import annotations

import re
from collections.abc import Iterable
from textwrap import wrap
from typing import TypedDict

from cds.explain.words import declared, measured, word
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, AnswerUsed, Referral, SegmentAdvice
from cds.vocabulary.model import Kind

WIDTH = 88
"""Letters in a line of plain text."""

URGENCY_WORDS = {
    "none": "no urgency",
    "routine": "routine",
    "urgent": "urgent",
    "same_day": "today",
    "emergency": "an emergency, now",
}
"""How urgent a referral is, to whom it is sent."""

NOW = "now"

MISSING_WORDS = {
    "not_asked": "not asked",
    "declined": "not asked: declined",
    "patient_unsure": "asked, the patient was not sure",
    "cannot_assess": "not assessed: could not be",
    "conflicting": "asked, the answers of one day differ",
    "stale": "not asked again: the earlier answer no longer counts",
}
"""Why there is no value. Never that it is absent."""

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


class Section(TypedDict):
    """A heading and its lines. `listed`: the lines are items of a list, not paragraphs."""

    heading: str
    listed: bool
    lines: list[str]


class Paper(TypedDict):
    """A written piece: its title, and sections in the order of reading."""

    title: str
    sections: list[Section]


def section(heading: str, lines: Iterable[str], *, listed: bool = True) -> Section:
    """One section; lines that say the same are said once."""
    return {"heading": heading, "listed": listed, "lines": list(dict.fromkeys(lines))}


def as_text(paper: Paper) -> str:
    """Plain text: headings in words of their own, items with a hyphen, lines of a fixed width."""
    parts = [paper["title"], "=" * len(paper["title"]), ""]
    for part in paper["sections"]:
        if part["heading"]:
            parts += [part["heading"], "-" * len(part["heading"])]
        for line in part["lines"]:
            lead, under = ("- ", "  ") if part["listed"] else ("", "")
            parts += wrap(
                line, WIDTH, initial_indent=lead, subsequent_indent=under,
                break_long_words=False, break_on_hyphens=False,
            ) or [""]  # fmt: skip
        parts.append("")
    return "\n".join(parts).rstrip("\n") + "\n"


def as_markdown(paper: Paper) -> str:
    """Markdown of the same lines; what Markdown would read as a sign is escaped."""
    parts = [f"# {_plain(paper['title'])}", ""]
    for part in paper["sections"]:
        if part["heading"]:
            parts += [f"## {_plain(part['heading'])}", ""]
        for line in part["lines"]:
            parts.append(f"- {_plain(line)}" if part["listed"] else f"{_plain(line)}\n")
        if part["listed"]:
            parts.append("")
    return "\n".join(parts).rstrip("\n") + "\n"


def _plain(line: str) -> str:
    text = re.sub(r"([\\`*_\[\]<>|~])", r"\\\1", line)
    return re.sub(r"^(\s*)([-+#]|\d+[.)])", r"\1\\\2", text)


def day(text: str) -> str:
    """An ISO date as `20 November 2026`."""
    year, month, number = text.split("-")
    return f"{int(number)} {MONTHS[int(month) - 1]} {year}"


def missing_word(reason: str) -> str:
    """Why there is no value, in words."""
    return MISSING_WORDS.get(reason, word(reason))


def capital(text: str) -> str:
    """The text with a capital letter first."""
    return text[:1].upper() + text[1:]


def lower(text: str) -> str:
    """A title inside a sentence; an abbreviation keeps its capitals."""
    return text if len(text) > 1 and text[1].isupper() else text[:1].lower() + text[1:]


def full_stop(text: str) -> str:
    """The text with a full stop at its end."""
    return text if text.endswith((".", ":", "?")) else f"{text}."


def person(advice: Advice) -> list[str]:
    """Age and sex where they are known, as one line; nothing where neither is."""
    known = {e["name"]: e["value"] for e in advice["chain"]["inputs"] if "value" in e}
    parts = [f"{known['age']} years"] if "age" in known else []
    parts += [word(known["sex"])] if "sex" in known else []
    return [f"Patient: {', '.join(parts)}."] if parts else []


def answer_text(program: Program, entry: AnswerUsed) -> str:
    """The value of an answer with its unit; a date written out."""
    known = declared(program, entry["finding"])
    if known is not None and known.kind is Kind.DATE:
        return day(entry["value"])
    return measured(program, entry["finding"], word(entry["value"]))


def how_soon(referral: Referral) -> str:
    """How urgent a referral is as advised, and within how long."""
    urgency = URGENCY_WORDS[referral["urgency"]["now"]]
    within = referral["within"]
    if within.startswith(NOW) and urgency.endswith(NOW):  # not "now, now"
        return urgency + within.removeprefix(NOW)
    return f"{urgency}, {within}" if within and within not in urgency else urgency


def label(segment: SegmentAdvice) -> str:
    """The positional pattern with its side: `flexed (left)`."""
    sides = segment["sides"]
    pattern = word(segment["pattern"])
    if len(sides) == 1:
        return f"{pattern} ({next(iter(sides.values()))})"
    listed = ", ".join(f"{word(kind)} {side}" for kind, side in sides.items())
    return f"{pattern} ({listed})" if listed else pattern


def prepared_with(advice: Advice) -> str:
    """Which rule book and edition it was written with."""
    edition = advice["edition"]
    return f"Prepared with {edition['title']}, edition {edition['digest'].partition(':')[2][:12]}."
