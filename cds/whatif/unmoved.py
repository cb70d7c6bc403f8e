"""What no answer to the open questions can change: what fired rules have decided.

Taken from the least careful reading: fired rules stay fired whatever is answered, so what they bar
stays barred. The bounds are conservative: a rung may stay shut that they leave open. One thing lies
outside them, and is named: an answer may set an older answer aside, which then counts no more.
"""

from __future__ import annotations

from typing import TypedDict

from cds.decide import Decider
from cds.explain.whynot import why_not
from cds.vocabulary.case import Case
from cds.vocabulary.model import CARE, CONCERN, NAMELESS, URGENCIES
from cds.vocabulary.reasons import WhyNot
from cds.whatif.effects import ConcernOf, ReferralOf
from cds.whatif.look import Look, look

NOTE = (
    "Whatever the open questions are answered, this stays for now. The bounds are conservative: "
    "more may stay than is listed. An answer that makes an older one count no more is not in them."
)


class Unmoved(TypedDict):
    """What stays. `shut`: rungs that stay shut at a level, with the rules that keep them so.

    `care_at_least` and `referrals` are the mildest that any answer leaves. `may_lapse`: findings
    whose older answer an answer to an open question could set aside.
    """

    care_at_least: str
    referrals: list[ReferralOf]
    concerns: list[ConcernOf]
    shut: list[WhyNot]
    may_lapse: list[str]
    note: str


def unmoved(decider: Decider, case: Case) -> Unmoved:
    """What no answer can change in this case."""
    before = look(decider, case)
    least = before.paths.least
    levels = [level for level in before.levels if level != NAMELESS]
    return {
        "care_at_least": CARE[least.care],
        "referrals": [
            {"to": r["to"], "title": r["title"], "urgency": r["urgency"]["least_careful"],
             "held_only": False}
            for r in before.referrals
            if r["urgency"]["least_careful"] != URGENCIES[0]
        ],
        "concerns": [
            {"condition": c["condition"], "title": c["title"],
             "level": c["level"]["least_careful"]}
            for c in before.concerns
            if c["level"]["least_careful"] != CONCERN[0]
        ],
        "shut": _shut(decider, before, levels),
        "may_lapse": may_lapse(decider, before),
        "note": NOTE,
    }  # fmt: skip


def _shut(decider: Decider, before: Look, levels: list[str]) -> list[WhyNot]:
    """Keepers of rungs above the most that any answer could open; what is only held is none."""
    found = why_not(decider.program, decider.resolver, before.readings, before.paths.least, levels)
    kept: list[WhyNot] = []
    for entry in found:
        if entry["kind"] == "held":
            continue
        rules = [rule for rule in entry["rules"] if rule in _fired(decider, before)]
        if entry["kind"] in ("limit", "referral", "care") and not rules:
            continue
        kept.append({**entry, "rules": rules if entry["kind"] != "indication" else entry["rules"]})
    return kept


def _fired(decider: Decider, before: Look) -> set[str]:
    return {decider.program.instances[number].rule for number in before.readings.outcome.fired}


def may_lapse(decider: Decider, before: Look) -> list[str]:
    """Findings whose older answer counts now, and might not after some answer to an open one."""
    vocabulary = decider.vocabulary
    asked = {question["finding"] for question in before.questions}
    found: list[str] = []
    for name, used in before.standing.used.items():
        finding = vocabulary.findings[name.partition("@")[0]]
        leaning = {*vocabulary.leans.get(finding.name, ()), *finding.voided_by}
        aged = used.age_days > 0 or finding.applies_when is not None
        if aged and leaning & asked and not _adverse(finding.adverse, used.answer.raw):
            found.append(name)
    return found


def _adverse(words: tuple[str, ...], raw: str) -> bool:
    """A positive stands however old it is."""
    return raw in words
