"""An advice for a person at a terminal: the headline first, then what to do, then why.

Made to be read by someone tired: the first lines carry the decision, every block has one purpose,
nothing is told by colour alone, and long lines wrap under their own beginning. Output is plain text
when it does not go to a terminal.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.text import Text

from cds.vocabulary.advice import (
    Advice,
    CardText,
    ChainStep,
    Limit,
    OpenQuestion,
    Scale,
    SegmentAdvice,
)

MAX_WIDTH = 96
MANY = 6
"""How many entries of a long list are shown before "and N more"."""

STATUS = {
    "stopped": "STOPPED",
    "ask_first": "ASK FIRST",
    "settled": "SETTLED",
}
MARK = {"fired": "●", "held_open": "○"}


class Paper(Console):
    """A console that lets a closed pipe be seen by the caller instead of ending with code 1."""

    def on_broken_pipe(self) -> None:
        """Raise what was caught."""
        raise BrokenPipeError


class Page:
    """Prints blocks with one left margin and hanging indents."""

    def __init__(self, console: Console) -> None:
        self.console = console
        self.width = min(console.width, MAX_WIDTH)

    def line(self, text: str = "", style: str = "", indent: int = 2, hang: int = 0) -> None:
        """One paragraph; `hang` more columns for its second and later lines."""
        room = max(self.width - indent - hang, 20)
        lines = Text(text, style=style).wrap(self.console, room) if text else [Text("")]
        for number, part in enumerate(lines):
            part.rstrip()
            margin = " " * (indent + (hang if number else 0))
            self.console.print(Text(margin) + part, soft_wrap=True)

    def block(self, title: str, note: str = "") -> None:
        """A block's title on a line of its own."""
        self.console.print()
        self.console.print(Text(title.upper(), style="bold") + Text(f"  {note}" if note else ""))

    def items(self, texts: Iterable[str], mark: str = "-", indent: int = 2) -> None:
        """A list, each entry wrapping under its own text."""
        for text in texts:
            self.line(f"{mark} {text}", indent=indent, hang=len(mark) + 1)


def render(advice: Advice, console: Console) -> None:
    """Print the whole advice, compact or full."""
    page = Page(console)
    _head(page, advice)
    _today(page, advice)
    _techniques(page, advice)
    _unknown(page, advice)
    _why_not(page, advice)
    _limits(page, advice["limits"])
    _after(page, advice)
    _chain(page, advice)
    _foot(page, advice)


def _head(page: Page, advice: Advice) -> None:
    rule = "━" * page.width
    page.console.print(rule)
    page.line(advice["headline"]["text"], style="bold", indent=0)
    page.line(advice["headline"]["second"], indent=0)
    page.console.print(rule)
    care = advice["care_today"]
    shown = _word(care["now"])
    if advice["status"] == "ask_first" and care["most_careful"] != care["least_careful"]:
        # `proceed` never stands alone while a hold decides
        shown = f"open, from {_word(care['least_careful'])} to {_word(care['most_careful'])}"
    page.line(f"Status {STATUS[advice['status']]} · care today: {shown}", indent=0)
    for referral in advice["referrals"]:
        if referral["urgency"]["now"] == "none":
            continue
        held = ", held until the open questions are answered" if referral["held_only"] else ""
        page.line(
            f"Refer to {referral['title']}: {_scale(referral['urgency'])}, "
            f"{referral['within']}{held}",
            indent=0,
        )
    for concern in advice["concerns"]:
        if concern["level"]["now"] != "none":
            page.line(f"Concern, {concern['title']}: {_scale(concern['level'])}", indent=0)


def _today(page: Page, advice: Advice) -> None:
    if not advice["segments"]:
        return
    page.block("Today", f"case of {advice['as_of']}, {_word(advice['moment'])}")
    for segment in advice["segments"]:
        sides = ", ".join(f"{name} {side}" for name, side in segment["sides"].items())
        both = segment["bilateral"]
        about = sides or (
            f"{both} on both sides" if both in ("flexed", "extended") else _word(segment["pattern"])
        )
        trust = _word(segment["confidence"])
        page.line(f"{segment['level']}  {about} (confidence {trust})", style="bold")
        # the first reason holds for every level and every visit, so it is not repeated here
        if segment["treat_today"] and segment["confidence_reasons"][1:]:
            why = _joined(segment["confidence_reasons"][1:])
            page.line(f"Confidence: {why}", indent=6, hang=6)
        path = segment["path"]
        if path["steps"]:
            chain = "  →  ".join(step["title"] for step in path["steps"])
            today = "" if segment["treat_today"] else " (not today: at most two levels)"
            page.line(f"Path: {chain}{today}", indent=6, hang=6)
            for step in path["steps"][1:]:
                if step["gate"] and segment["treat_today"]:
                    gate = _joined(step["gate"])
                    page.line(f"before {step['title']}: {gate}", indent=6, hang=4)
            if path["step_down_to"]:
                down = ", ".join(_word(rung) for rung in path["step_down_to"])
                page.line(f"Step down to: {down}", indent=6, hang=6)
        else:
            page.line("No hands-on rung at this level today.", indent=6)
        page.line(f"Order: {segment['reason']}", indent=6, hang=6)


def _techniques(page: Page, advice: Advice) -> None:
    for segment in advice["segments"]:
        for card in segment["cards"]:
            _card(page, segment, card)
        for card in segment["alternatives"]:
            _alternative(page, segment, card)
        for lacking in segment["without_card"]:
            page.block(f"No card {segment['level']}", f"{_word(lacking['rung'])}")
            page.line(f"{lacking['reason'][0].upper()}{lacking['reason'][1:]}.")


def _card(page: Page, segment: SegmentAdvice, card: CardText) -> None:
    rungs = ", ".join(_word(rung) for rung in card["rungs"])
    page.block(f"Technique {segment['level']}", f"{card['title']} · {rungs}")
    page.line(f"Position: {card['position']}", hang=4)
    for number, text in enumerate(card["set_up"], start=1):
        page.line(f"{number}. {text}", indent=4, hang=3)
    page.line(f"Effort: {card['effort']}", hang=4)
    for name, text in card["dose"].items():
        word = _word(name)
        page.line(f"{word[0].upper()}{word[1:]}: {text}", hang=4)
    page.line(f"The patient should feel: {card['feel']}", hang=4)
    page.line("Stop if:", style="bold")
    page.items(card["stop"], mark="✕", indent=4)
    if card["if_not_tolerated"]:
        page.line(f"If not tolerated: {card['if_not_tolerated']}", hang=4)


def _alternative(page: Page, segment: SegmentAdvice, card: CardText) -> None:
    """Another position in short: dose and stop signs are those of the card it stands in for."""
    page.block(f"Or {segment['level']}", card["title"])
    page.line(f"Position: {card['position']}", hang=4)
    page.line(f"Set-up: {' '.join(card['set_up'])}", hang=4)
    page.line(f"Effort: {card['effort']}", hang=4)


def _unknown(page: Page, advice: Advice) -> None:
    questions = advice["open_questions"]
    stale = advice["answers"]["stale"]
    if not questions and not stale:
        return
    page.block("Still unknown", "most consequential first; unknown is not absent")
    owed = [q for q in questions if q["owed"]]
    held = [q for q in owed if q["holds_hands_on"]]
    shown = held or owed[:MANY]
    by_effect: dict[str, list[OpenQuestion]] = {}
    for question in shown:
        could = ", ".join(f"{_word(k)} {_word(v)}" for k, v in question["could"].items())
        by_effect.setdefault(could or "a different path", []).append(question)
    for could, asked in by_effect.items():
        page.line(f"Could bring, at most: {could}", style="bold")
        together: dict[str, list[str]] = {}
        for question in asked:
            level = f"{question['level']}: " if "level" in question else ""
            alone = " (ask alone)" if question["alone"] else ""
            reason = question["reason"]
            why = "" if reason == "not_asked" else f" ({_word(reason)})"
            text = f"{level}{question['ask']}{alone}{why}"
            if "block" in question:
                together.setdefault(question["block"], []).append(text)
            else:
                page.line(f"? {text}", indent=4, hang=2)
        for texts in together.values():
            page.line(f"? {' · '.join(texts)}", indent=4, hang=2)
            if len(texts) > 1:
                page.line('(together as one question, with "none of these")', indent=6)
    if len(owed) > len(shown):
        page.line(f"and {len(owed) - len(shown)} that matter less (see --json --full)")
    if len(owed) < len(questions):
        names = sorted({_word(q["finding"].removeprefix("segment.")) for q in questions
                        if not q["owed"]})  # fmt: skip
        shown_names = ", ".join(names[: 2 * MANY])
        more = len(names) - 2 * MANY
        tail = f" and {more} more" if more > 0 else ""
        page.line(f"Used only if recorded: {shown_names}{tail}.", hang=2)
    for entry in stale:
        page.line(
            f"? no longer counts: {_word(entry['finding'])} was {_word(entry['value'])} on "
            f"{entry['observed']} ({entry['why']})",
            hang=2,
        )


def _why_not(page: Page, advice: Advice) -> None:
    if not advice["why_not"]:
        return
    page.block("Why not more", "the next rung up, and what keeps it shut")
    nearest: dict[str, str] = {}
    for entry in advice["why_not"]:
        first = entry["level"] not in nearest
        rung = nearest.setdefault(entry["level"], entry["rung"])
        if rung != entry["rung"]:
            continue
        if first:
            page.line(f"{entry['level']}, {_word(rung)}", style="bold")
        rules = ", ".join(entry["rules"][:MANY])
        more = len(entry["rules"]) - MANY
        tail = f", and {more} more" if more > 0 else ""
        page.line(f"- {entry['text']}" + (f" [{rules}{tail}]" if rules else ""), indent=4, hang=2)


def _limits(page: Page, limits: Sequence[Limit]) -> None:
    if not limits:
        return
    page.block("Limits")
    for limit in limits:
        where = f"{limit['level']} " if "level" in limit else ""
        page.line(f"{where}{limit['title']}: {_scale(limit['most'])}", style="bold")
        for label, holders in (
            ("contraindication", limit["contraindications"]),
            ("local policy", limit["policy"]),
            ("", limit["others"]),
        ):
            binding = [holder for holder in holders if holder["binding"]]
            binding.sort(key=lambda holder: holder["status"])
            for holder in binding[:MANY]:
                name = label or holder["basis"]
                state = ", held while unknown" if holder["status"] == "held" else ""
                page.line(f"{name}{state}: {holder['title']} [{holder['rule']}]", indent=4, hang=2)
            if len(binding) > MANY:
                page.line(f"and {len(binding) - MANY} more", indent=4)


def _after(page: Page, advice: Advice) -> None:
    for title, entries in (
        ("Re-test", advice["retest"]),
        ("Cautions", advice["cautions"]),
        ("Education", advice["education"]),
    ):
        if entries:
            page.block(title)
            page.items(_at(entry.get("level"), entry["text"]) for entry in entries)
    if advice["home"]:
        page.block("Home")
        for exercise in advice["home"]:
            page.line(
                f"{_at(exercise.get('level'), exercise['title'])} · {exercise['dose']}", hang=2
            )
            page.items(exercise["how"], indent=4)
            page.line(f"Stop if: {_joined(exercise['stop'])}", indent=4, hang=4)
    if advice["safety_net"]:
        page.block("Safety net", "tell the patient")
        page.items(entry["text"] for entry in advice["safety_net"])
    if advice["consent_points"]:
        page.block("Consent", "before a thrust, aloud, today")
        page.items(point["text"] for point in advice["consent_points"])
    if advice["information"]:
        page.block("Information", "decides nothing; weaknesses and sources with --json --full")
        for entry in advice["information"]:
            page.line(f"{entry['title']}: {entry.get('text', 'see --json --full')}", hang=2)
            if entry.get("weaknesses"):
                page.line(entry["weaknesses"][0], style="dim", indent=4)
    step = advice["next_step"]
    waiting = step.get("once_answered")
    note = f"; once the open questions are answered: {_word(waiting)}" if waiting else ""
    page.block("Next step", _word(step["step"]) + note)
    if step["rules"]:
        page.line(f"from {', '.join(step['rules'])}")


def _chain(page: Page, advice: Advice) -> None:
    steps = advice["chain"]["steps"]
    page.block("Chain", f"{MARK['fired']} fired   {MARK['held_open']} open: holds until answered")
    for step in steps:
        if step["status"] == "fired":
            _step(page, step)
    held = [step for step in steps if step["status"] == "held_open"]
    by_what: dict[str, list[ChainStep]] = {}
    for step in held:
        what = "; ".join(f"{_word(c['slot'])} = {_word(c['value'])}" for c in step["conclusions"])
        by_what.setdefault(what, []).append(step)
    for what, holders in by_what.items():
        page.line(f"    {MARK['held_open']} held: {what}", style="bold", indent=0, hang=6)
        for step in holders:
            unknown = sorted({test["text"] for test in step["tests"]})
            shown = "; ".join(unknown[:3]) + ("; …" if len(unknown) > 3 else "")
            page.line(f"{step['number']:>3} {step['title']} [{step['rule']}]", indent=6, hang=4)
            if len(holders) <= MANY:
                page.line(f"not known: {shown}", indent=10, hang=2)


def _step(page: Page, step: ChainStep) -> None:
    where = " ".join(part for part in (step.get("level"), step.get("side")) if part)
    head = f"{step['number']:>3} {MARK[step['status']]} {step['title']}"
    page.line(head + (f" ({where})" if where else ""), style="bold", indent=0, hang=6)
    for test in step["tests"]:
        seen = _seen(test.get("value"), test.get("steps"), test.get("ruled_out"))
        page.line(f"{test['text']}{seen}", indent=6, hang=2)
    gives = "; ".join(f"{_word(c['slot'])} = {_word(c['value'])}" for c in step["conclusions"])
    page.line(f"⇒ {gives}  [{step['rule']}]", indent=6, hang=2)
    page.line(step["because"], style="dim", indent=6)


def _seen(value: str | None, steps: list[int] | None, ruled_out: list[str] | None) -> str:
    if steps:
        return f"  ← step {', '.join(map(str, steps))}"
    if ruled_out:
        return "  ← no rule concluded it"
    return f"  ← {value}" if value is not None else "  ← not recorded"


def _foot(page: Page, advice: Advice) -> None:
    if advice["sources"]:
        page.block("Sources")
        for source in advice["sources"]:
            year = f", {source['year']}" if "year" in source else ""
            page.line(
                f"{source['id']}: {source['title']}{year} ({_word(source['status'])})", hang=4
            )
    page.block("Scope")
    for text in advice["scope_notice"]:
        page.line(text)
    page.line(f"{advice['edition']['title']} · {advice['edition']['digest']}")


def _at(level: str | None, text: str) -> str:
    return f"{level}: {text}" if level else text


def _joined(texts: Iterable[str]) -> str:
    """Sentences on one line, without two marks in a row."""
    return "; ".join(text.rstrip(".") for text in texts) + "."


_GRADE = re.compile(r"\b(mobilization|grade)[_ ]([1-4])\b")
_ROMAN = {"1": "I", "2": "II", "3": "III", "4": "IV"}


def _word(text: str) -> str:
    """A word of the vocabulary as people write it; grades in the trade's Roman numerals."""
    return _GRADE.sub(lambda m: f"{m[1]} {_ROMAN[m[2]]}", text).replace("_", " ")


def _scale(scale: Scale) -> str:
    now = _word(scale["now"])
    if scale["most_careful"] == scale["least_careful"]:
        return now
    return f"{now} (open: {_word(scale['least_careful'])} to {_word(scale['most_careful'])})"
