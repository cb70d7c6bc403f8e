"""Referral letters: for each referral of an advice, what a doctor who reads it needs.

How urgent and why comes first, then what was found with its days, what was not asked, what was
advised. Names are left open; the letter is signed by the person who sends it. Nothing in it is said
of the patient that was not recorded, and what is only suspected is called so.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypedDict

from cds.explain.note import HOW, not_asked, reported
from cds.explain.paper import (
    Paper,
    Section,
    answer_text,
    capital,
    day,
    full_stop,
    how_soon,
    lower,
    person,
    prepared_with,
    section,
)
from cds.explain.sayings import CARE_WORDS, fact_text
from cds.explain.why import rests_on
from cds.explain.words import title_of, word
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, AnswerUsed, ChainStep, Referral
from cds.vocabulary.model import URGENCIES, slot_name

OPEN = "____________________"
"""Left for the person who sends the letter."""

BY_TELEPHONE = ("emergency", "same_day")
"""Urgencies at which the letter goes with the patient and nobody waits for it (common practice)."""


class Letter(TypedDict):
    """One letter: to whom (the referral's id), how urgent as advised, and the paper itself.

    `held`: no rule that fired asks for it; it waits for answers, and is a draft until then.
    """

    to: str
    urgency: str
    held: bool
    paper: Paper


def letters(program: Program, advice: Advice) -> list[Letter]:
    """A letter for each referral that is advised, the most urgent first; from a full advice."""
    return [
        {
            "to": referral["to"],
            "urgency": referral["urgency"]["now"],
            "held": referral["held_only"],
            "paper": _letter(program, advice, referral),
        }
        for referral in advice["referrals"]
        if referral["urgency"]["now"] != "none"
    ]


def _letter(program: Program, advice: Advice, referral: Referral) -> Paper:
    steps = _steps(advice, referral)
    sections = [
        section("", _opening(advice, referral), listed=False),
        _asked_for(advice, referral),
        section("Why", _why(program, advice, steps)),
        section("What was found", _found(program, advice, steps)),
        section("What was not asked, or has no answer", not_asked(program, advice)),
        section("What was advised so far", _advised(advice, referral)),
        section(
            "",
            [
                "Please let us know what you find, and whether hands-on treatment of the back may "
                "go on.",
                f"Name, profession, telephone: {OPEN}",
                f"Signature and date: {OPEN}",
                prepared_with(advice),
            ],
            listed=False,
        ),
    ]
    return {
        "title": f"Referral to: {referral['title']}",
        "sections": [part for part in sections if part["lines"]],
    }


def _opening(advice: Advice, referral: Referral) -> list[str]:
    lines = [f"To: {referral['title']} {OPEN}", f"Patient, name and date of birth: {OPEN}"]
    lines += person(advice)
    lines.append(f"Date: {day(advice['as_of'])}")
    if referral["held_only"]:
        lines.append(
            "DRAFT: this referral is advised only until questions that are open are answered. Ask "
            "them first if that takes no time that matters."
        )
    return lines


def _asked_for(advice: Advice, referral: Referral) -> Section:
    urgency = referral["urgency"]["now"]
    lines = [f"How urgent: {how_soon(referral)}."]
    if urgency in BY_TELEPHONE:
        lines.append("Please see this patient without waiting for this letter; telephone first.")
    suspected = [
        f"{lower(c['title'])} ({word(c['level']['now'])} concern)"
        for c in advice["concerns"]
        if c["level"]["now"] not in ("none", "low") and set(c["rules"]) & set(referral["rules"])
    ]
    if suspected:
        lines.append(f"Suspected, not proven: {'; '.join(suspected)}.")
    return section("What is asked for", lines)


def _steps(advice: Advice, referral: Referral) -> list[ChainStep]:
    """The steps that ask for this referral, the most urgent first, each before what it rests on.

    A hold counts only where it sets the urgency.
    """
    steps = {step["number"]: step for step in advice["chain"]["steps"]}
    slot = slot_name("referral", referral["to"])
    asking = [
        (-URGENCIES.index(concluded["value"]), number)
        for number, step in steps.items()
        for concluded in step["conclusions"]
        if concluded["slot"] == slot
        and (step["status"] == "fired" or concluded["value"] == referral["urgency"]["now"])
    ]
    todo = [number for _, number in sorted(asking, reverse=True)]
    found: dict[int, None] = {}
    while todo:
        number = todo.pop()
        if number not in found:
            found[number] = None
            todo += rests_on(steps[number])
    return [steps[number] for number in found]


def _why(program: Program, advice: Advice, steps: Iterable[ChainStep]) -> list[str]:
    inputs = {entry["name"]: entry for entry in advice["chain"]["inputs"]}
    lines = []
    for step in steps:
        facts = list(dict.fromkeys(fact_text(program, test, inputs) for test in step["tests"]))
        lead = step["title"] if step["status"] == "fired" else f"{step['title']}, not ruled out"
        lines.append(f"{lead}. {capital('; '.join(facts))}. {full_stop(step['because'])}")
    return lines


def _found(program: Program, advice: Advice, steps: Iterable[ChainStep]) -> list[str]:
    """The answers the referral rests on, then what else was adverse or examined, each with its
    day."""
    cited = {test["input"] for step in steps for test in step["tests"] if "input" in test}
    used = advice["answers"]["used"]
    first = [entry for entry in used if entry["finding"] in cited]
    more = [
        entry
        for entry in used
        if entry not in first and (entry["how"] == "examined" or reported(program, entry))
    ]
    return [_answer(program, entry) for entry in (*first, *more)]


def _answer(program: Program, entry: AnswerUsed) -> str:
    by = f" by {entry['by']}" if "by" in entry else ""
    how = HOW.get(entry["how"], word(entry["how"]))
    title = title_of(program, entry["finding"])
    return f"{title}: {answer_text(program, entry)} ({how}{by}, {day(entry['observed'])})."


def _advised(advice: Advice, referral: Referral) -> list[str]:
    lines = [f"Care by the therapist today: {CARE_WORDS.get(advice['care_today']['now'], '')}."]
    others = [
        f"{lower(r['title'])} ({how_soon(r)})"
        for r in advice["referrals"]
        if r["to"] != referral["to"] and r["urgency"]["now"] != "none"
    ]
    if others:
        lines.append(f"Also advised: referral to {'; '.join(others)}.")
    if advice["safety_net"]:
        lines.append("Advice on the signs that need help at once is part of the home sheet.")
    return lines
