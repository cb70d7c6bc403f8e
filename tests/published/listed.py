"""A row of a published list of contraindications, and what the advice must be for it alone.

Every row is laid over a sixth visit in which nothing is barred and a thrust is reached, so what is
barred is barred by the row. The grade is the source's own; the effect on each family is what that
grade means at the low back, written by hand. Where this rule book is deliberately more careful
than the source, the row says why; where sources disagree and it follows the milder one, too.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.support.fixtures import base, decider, laid_over

GRADES = ("absolute", "relative", "caution", "not_barred", "elsewhere", "plan", "needs")
"""The source's grade: bars outright; bars unless weighed; asks for care; is no bar; bars another
region; changes the plan of care; or is a condition that care must meet."""

BASE = "sixth-visit"
OPEN = ("open", "open", "open", "open")
ALL = ("barred", "barred", "barred", "barred")
GENTLE = ("barred", "barred", "open", "open")
"""Thrust and grades III to IV barred, grades I to II and muscle energy technique open."""
GENTLE_LOW = ("barred", "barred", "open", "limited")
"""The same, with muscle energy technique at low force."""
UP_TO_THREE = ("barred", "limited", "open", "open")
"""No thrust, grade III at the most."""
NO_THRUST = ("barred", "open", "open", "open")

FAMILIES = ("thrust", "III to IV", "I to II", "muscle energy")


@dataclass(frozen=True)
class Row:
    """`item` and `words` name the row, `case` records it, the rest is what must come of it."""

    item: str
    words: str
    case: dict[str, Any]
    grade: str
    expect: tuple[str, str, str, str]
    why: str
    referrals: dict[str, str] = field(default_factory=dict)
    more_careful: str = ""
    milder: str = ""
    next_step: str = ""
    caution: str = ""
    education: str = ""

    @property
    def id(self) -> str:
        return f"{self.item} {self.words}"[:60]


def says(**answers: Any) -> dict[str, Any]:
    """A case in which these answers differ from the base."""
    return {"answers": answers}


def examined(value: str) -> dict[str, str]:
    return {"value": value, "how": "examined"}


def level(name: str, provocation: str, mobility: str, answers: dict[str, str]) -> dict[str, Any]:
    """A level flexed on one side, in the words of a case."""
    return {
        "level": name,
        "prominent": {"flexion": "symmetric", "neutral": "left", "extension": "left"},
        "answers": {"provocation": provocation, "mobility": mobility} | answers,
    }


def with_neighbour(finding: str, name: str, value: str, other: str, **answers: Any) -> Any:
    """The painful L5 of the base, and another level that carries the finding."""
    return {
        "answers": answers,
        "segments": [
            level("L5", "concordant", "stiff", {finding: other}),
            level(name, "none", "normal", {finding: value}),
        ],
    }


def at_level(finding: str, value: str, **answers: Any) -> dict[str, Any]:
    """The painful L5 of the base carries the finding itself."""
    return {
        "answers": answers,
        "segments": [level("L5", "concordant", "stiff", {finding: value})],
    }


def advice(case: dict[str, Any]) -> Advice:
    deciding = decider()
    return deciding.decide(read_case(deciding.vocabulary, laid_over(base(BASE), case)))


def effect(found: Advice, at: str = "L5") -> tuple[str, str, str, str]:
    """Each family as it stands at a level, with the limits of the whole case."""
    ladder = decider().program.ladder
    most = {}
    for family in ladder.families:
        limits = [
            family.limits.index(limit["most"]["now"])
            for limit in found["limits"]
            if limit["family"] == family.name and limit.get("level", at) == at
        ]
        most[family.name] = family.limits[min(limits, default=len(family.limits) - 1)]
    grade = ("barred", "grade_1", "grade_2", "grade_3", "grade_4").index(most["mobilization"])
    return (
        "barred" if most["thrust"] == "barred" else "open",
        "open" if grade == 4 else "limited" if grade == 3 else "barred",
        "open" if grade >= 2 else "limited" if grade == 1 else "barred",
        {"barred": "barred", "low_force": "limited", "full": "open"}[most["muscle_energy"]],
    )


def referrals(found: Advice) -> dict[str, str]:
    return {r["to"]: r["urgency"]["now"] for r in found["referrals"] if not r["held_only"]}


def differences(row: Row) -> list[str]:
    """One line for each thing in which the advice is not what the row wants."""
    found = advice(row.case)
    lines = [
        f"{family}: {now}, not {wanted}"
        for family, now, wanted in zip(FAMILIES, effect(found), row.expect, strict=True)
        if now != wanted
    ]
    if found["status"] == "ask_first" and row.grade != "needs":
        owed = [q["finding"] for q in found["open_questions"] if q["owed"]]
        lines.append(f"not settled, so a hold may stand for the row: {owed}")
    if referrals(found) != row.referrals:
        lines.append(f"referrals: {referrals(found)}, not {row.referrals}")
    if row.next_step and found["next_step"]["step"] != row.next_step:
        lines.append(f"next step: {found['next_step']['step']}, not {row.next_step}")
    if row.caution and row.caution not in {text["id"] for text in found["cautions"]}:
        lines.append(f"caution lacking: {row.caution}")
    if row.education and row.education not in {text["id"] for text in found["education"]}:
        lines.append(f"education lacking: {row.education}")
    return lines


def against_its_grade(row: Row) -> list[str]:
    """Where the effect that a row expects does not fit the grade that the source gives."""
    thrust = row.expect[0]
    lines = []
    if row.grade not in GRADES:
        lines.append(f"no grade `{row.grade}`")
    if row.grade in {"absolute", "needs"} and thrust != "barred":
        lines.append(f"{row.grade}, and a thrust is {thrust}")
    if row.grade == "relative" and (thrust != "barred") != bool(row.milder):
        lines.append("relative: a thrust is open without saying why, or the reverse")
    if row.grade in {"elsewhere", "plan"} and row.expect != OPEN:
        lines.append(f"{row.grade}, and something is limited at the low back")
    if row.grade in {"caution", "not_barred"} and (row.expect != OPEN) != bool(row.more_careful):
        lines.append(f"{row.grade}: limited without saying why it is more careful, or the reverse")
    if row.grade in {"not_barred", "elsewhere", "plan"} and row.referrals:
        lines.append(f"{row.grade}, and somebody is referred")
    if not row.why or not row.words:
        lines.append("a row says what it is and why")
    return lines
