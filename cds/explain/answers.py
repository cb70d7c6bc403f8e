"""Which answers counted, which are stale, missing or rejected, each with its age and reason."""

from __future__ import annotations

from cds.explain.words import title_of, value_text
from cds.rulebook.program import Program
from cds.vocabulary.advice import Answers, AnswerStale, AnswerUsed
from cds.vocabulary.ageing import WHY, SetAside, Standing
from cds.vocabulary.case import Case


def answers(program: Program, standing: Standing) -> Answers:
    """The four lists. Findings that do not apply are in none of them."""
    used: list[AnswerUsed] = []
    for name, found in standing.used.items():
        entry: AnswerUsed = {
            "finding": name,
            "value": value_text(program, name, standing.values[name]),
            "observed": found.answer.observed.isoformat(),
            "age_days": found.age_days,
            "how": found.answer.how,
        }
        if found.answer.by is not None:
            entry["by"] = found.answer.by
        used.append(entry)
    return {
        "used": used,
        "stale": [_aside(program, item) for item in standing.stale],
        "missing": [
            {"finding": name, "reason": reason.value} for name, reason in standing.missing.items()
        ],
        "rejected": [_aside(program, item) for item in standing.rejected],
    }


def asked_line(program: Program, case: Case, standing: Standing) -> str:
    """The headline's second line: what was asked and how long ago; not asked is said as not
    asked."""
    screen = [(name, used) for name, used in standing.used.items() if _is_screen(program, name)]
    if not screen:
        return "No screening question has an answer that counts: not assessed."
    today = sum(1 for _, used in screen if used.answer.asked == case.as_of)
    oldest, age = max(((name, used.age_days) for name, used in screen), key=lambda pair: pair[1])
    lacking = sum(1 for name in standing.missing if _is_asked(program, name))
    text = f"Screening answers that count: {len(screen)}, {today} of them from today"
    if age > 0:
        days = "1 day" if age == 1 else f"{age} days"
        text += f"; the oldest is {days} old ({title_of(program, oldest).lower()})"
    return f"{text}. Not asked or no longer counting: {lacking}."


def _is_asked(program: Program, name: str) -> bool:
    """Whether a finding, by grounded name, belongs to the screening questions."""
    finding = program.findings.get(name.partition("@")[0])
    return finding is not None and (finding.ask_alone or finding.block is not None)


def _is_screen(program: Program, name: str) -> bool:
    finding = program.findings.get(name.partition("@")[0])
    return _is_asked(program, name) and finding is not None and not finding.numeric


def _aside(program: Program, item: SetAside) -> AnswerStale:
    value = item.answer.value
    why = WHY[item.why]
    if item.by is not None:
        why = f"{why} ({title_of(program, item.by).lower()})"
    return {
        "finding": item.name,
        "value": value_text(program, item.name, value) if value is not None else "not recorded",
        "observed": item.answer.observed.isoformat(),
        "why": why,
    }
