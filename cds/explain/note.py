"""The chart note: a concise record of what was found, advised and why, from the advice alone.

Every value in it is one that was recorded, with its date, by whom and how it was had. What was not
asked is listed as not asked. It never sums up a screen. The same advice gives the same words.
"""

from __future__ import annotations

from cds.engine.path import Resolver
from cds.explain.paper import (
    Paper,
    Section,
    answer_text,
    capital,
    day,
    full_stop,
    how_soon,
    label,
    lower,
    missing_word,
    person,
    prepared_with,
    section,
)
from cds.explain.sayings import CARE_WORDS
from cds.explain.why import account
from cds.explain.words import declared, title_of, word
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, AnswerUsed
from cds.vocabulary.model import NAMELESS, Kind, at_level

MOMENT = {
    "before_session": "before the session",
    "during_session": "during the session",
    "after_session": "after the session",
    "contact": "contact between visits",
}
HOW = {
    "asked": "asked",
    "examined": "examined",
    "record": "from the record",
    "by_block": "asked together as one question",
    "confirmed_unchanged": "confirmed as unchanged",
}
"""How an answer was had, in words."""


def note(program: Program, resolver: Resolver, advice: Advice) -> Paper:
    """The note of a full advice."""
    sections = [
        _assessment(program, advice),
        section("Recorded", _recorded(program, advice)),
        section("Late entries, taken from the record", _late(program, advice)),
        section("Set aside", _aside(program, advice)),
        section("Not asked, or without a value", not_asked(program, advice)),
        section("Advised", _advised(program, advice)),
        section("Reason", _reasons(program, resolver, advice)),
        section("Safety net", [s["text"] for s in advice["safety_net"]]),
        section(
            "",
            [
                f"{prepared_with(advice)} It supports the clinician, who decides.",
                "Name and signature of the clinician: ____________________",
            ],
            listed=False,
        ),
    ]
    moment = MOMENT.get(advice["moment"], word(advice["moment"]))
    return {
        "title": f"Chart note, {day(advice['as_of'])}, {moment}",
        "sections": [part for part in sections if part["lines"]],
    }


def _assessment(program: Program, advice: Advice) -> Section:
    lines = [*person(advice), full_stop(advice["headline"]["text"])]
    lines.append(full_stop(advice["headline"]["second"]))
    lines.append(f"Care today: {CARE_WORDS.get(advice['care_today']['now'], '')}.")
    for concern in advice["concerns"]:
        level = concern["level"]
        if level["now"] != "none":
            held = ", held until it is asked" if level["least_careful"] == "none" else ""
            lines.append(f"Concern for {lower(concern['title'])}: {word(level['now'])}{held}.")
    for segment in advice["segments"]:
        if segment["level"] == NAMELESS:
            continue
        said = word(segment["confidence"])
        lines.append(f"{segment['level']}: positional pattern {label(segment)}; confidence {said}.")
    return section("Assessment", lines)


def _recorded(program: Program, advice: Advice) -> list[str]:
    """Adverse answers and numbers one by one, the others in one line for each day and way."""
    alone: list[str] = []
    together: dict[tuple[str, str], list[str]] = {}
    for entry in advice["answers"]["used"]:
        if _is_late(entry):
            continue
        said = f"{title_of(program, entry['finding'])}: {answer_text(program, entry)}"
        if reported(program, entry):
            alone.append(f"{said} ({_had(entry)}, {_when(entry)}).")
        else:
            together.setdefault((_had(entry), _when(entry)), []).append(lower(said))
    lines = [
        f"{capital(had)}, {when}: {'; '.join(entries)}."
        for (had, when), entries in together.items()
    ]
    return alone + lines


def reported(program: Program, entry: AnswerUsed) -> bool:
    """Whether it is an adverse word, a number or a date: what a reader looks for."""
    known = declared(program, entry["finding"])
    if known is None or known.kind is Kind.DATE or known.numeric:
        return True
    adverse = program.findings[entry["finding"].partition("@")[0]].adverse
    return any(word(value) == entry["value"] for value in adverse)


def _late(program: Program, advice: Advice) -> list[str]:
    """Answers of an earlier day that were taken from the record."""
    return [
        f"{title_of(program, entry['finding'])}: {answer_text(program, entry)} "
        f"(late entry, observed {day(entry['observed'])}{_by(entry)})."
        for entry in advice["answers"]["used"]
        if _is_late(entry)
    ]


def _is_late(entry: AnswerUsed) -> bool:
    return entry["how"] == "record" and entry["age_days"] > 0


def _aside(program: Program, advice: Advice) -> list[str]:
    answers = advice["answers"]
    found = []
    for entry, lead in (
        *((e, "no longer counts") for e in answers["stale"]),
        *((e, "its end was not accepted, or it does not apply") for e in answers["rejected"]),
    ):
        title = title_of(program, entry["finding"])
        value = word(entry["value"])
        found.append(f"{title}: {value} on {day(entry['observed'])} {lead}: {entry['why']}.")
    return found


def not_asked(program: Program, advice: Advice) -> list[str]:
    """What screening owes and has no value, one line for each reason; never said to be absent."""
    owed = {
        at_level(q["finding"], q.get("level")): q["reason"]
        for q in advice["open_questions"]
        if q["owed"]
    }
    reasons = {entry["finding"]: entry["reason"] for entry in advice["answers"]["missing"]}
    names: dict[str, str] = {}
    for name, reason in reasons.items():
        finding = program.findings.get(name.partition("@")[0])
        screened = finding is not None and (finding.ask_alone or finding.block is not None)
        if screened or name in owed or reason != "not_asked":
            names[name] = reason
    for name, reason in owed.items():
        names.setdefault(name, reason)
    grouped: dict[str, list[str]] = {}
    for name, reason in names.items():
        grouped.setdefault(missing_word(reason), []).append(lower(title_of(program, name)))
    return [f"{capital(why)}: {'; '.join(titles)}." for why, titles in sorted(grouped.items())]


def _advised(program: Program, advice: Advice) -> list[str]:
    titles = {rung.name: lower(rung.title) for rung in program.ladder.rungs}
    lines = [
        f"Referral to {lower(r['title'])}: {how_soon(r)}"
        f"{' (held until it is asked)' if r['held_only'] else ''}."
        for r in advice["referrals"]
        if r["urgency"]["now"] != "none"
    ]
    for segment in advice["segments"]:
        if segment["treat_today"]:
            path = segment["path"]
            steps = ", ".join(
                titles.get(step["rung"], word(step["rung"])) for step in path["steps"]
            )
            lines.append(f"{segment['level']}: in this order, each only if the one before it "
                         f"allows: {steps}.")  # fmt: skip
    if not any(segment["treat_today"] for segment in advice["segments"]):
        lines.append("No hands-on step was advised.")
    if advice["home"]:
        lines.append(f"Home: {'; '.join(lower(e['title']) for e in advice['home'])}.")
    lines.append(f"Next step of the course: {word(advice['next_step']['step'])}.")
    return lines


def _reasons(program: Program, resolver: Resolver, advice: Advice) -> list[str]:
    found = account(program, resolver, advice)
    return [*found["absent"], *(reason["sentence"] for reason in found["reasons"])]


def _had(entry: AnswerUsed) -> str:
    return HOW.get(entry["how"], word(entry["how"])) + _by(entry)


def _by(entry: AnswerUsed) -> str:
    return f" by {entry['by']}" if "by" in entry else ""


def _when(entry: AnswerUsed) -> str:
    return day(entry["observed"])
