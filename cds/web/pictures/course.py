"""The course so far: for each session the highest rung, guarding before and after, and pain."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from markupsafe import Markup

from cds.vocabulary.case import Session
from cds.web.pictures.svg import drawing, el

GUARDING = ("none", "mild", "moderate", "marked")
WIDE, HIGH = 96, 250
LEFT, TOP = 92, 18
RUNG_AREA, GUARD_Y, PAIN_TOP, PAIN_AREA = 92, 132, 160, 62


def course_picture(sessions: Sequence[Session], rungs: Sequence[str]) -> Markup | None:
    """The drawing, one column a session; None without sessions. `rungs`: hands-on, least first."""
    if not sessions:
        return None
    parts: list[Markup] = []
    width = LEFT + WIDE * len(sessions) + 12
    parts += _labels(rungs, width)
    runs: list[list[tuple[float, float]]] = [[]]
    for place, session in enumerate(sessions):
        x = LEFT + WIDE * place
        parts.append(el("text", f"{session.on.day}.{session.on.month}.", x=x + 30, y=HIGH - 8))
        parts += _rung(session, rungs, x)
        parts += _guarding(session, x)
        for offset, pain in ((16, session.pain_before), (56, session.pain_after)):
            if pain is None:
                runs.append([])  # the line breaks where nothing is known
                parts.append(el("text", "?", x=x + offset - 3, y=PAIN_TOP + PAIN_AREA / 2 + 4))
            else:
                runs[-1].append((x + offset, PAIN_TOP + PAIN_AREA * (1 - pain / 10)))
    for points in runs:
        if len(points) > 1:
            line = " ".join(f"{x:.0f},{y:.1f}" for x, y in points)
            parts.append(el("polyline", points=line, class_="pain-line", fill="none"))
        parts += [
            el("circle", cx=f"{x:.0f}", cy=f"{y:.1f}", r=3.4, class_="pain-dot") for x, y in points
        ]
    label = (
        f"Course of {len(sessions)} sessions: highest rung, guarding, pain; "
        "the table has the values."
    )
    return drawing(width, HIGH, label, parts, "course-picture")


def course_rows(sessions: Sequence[Session], titles: dict[str, str]) -> list[dict[str, str]]:
    """The same as words, for the table beside the drawing."""
    found = []
    for session in sessions:
        given = ", ".join(f"{titles.get(g.rung, g.rung)} at {g.level}" for g in session.given or ())
        found.append(
            {
                "on": _day(session.on),
                "given": given or ("not said" if session.given is None else "no hands-on care"),
                "guarding": f"{session.guarding_before or '?'} → {session.guarding_after or '?'}",
                "pain": f"{_number(session.pain_before)} → {_number(session.pain_after)}",
                "sign": session.comparable_sign or "?",
                "settled": (session.settled or "?").replace("_", " "),
            }
        )
    return found


def _day(on: date) -> str:
    return on.isoformat()


def _number(pain: int | None) -> str:
    return "?" if pain is None else str(pain)


def _labels(rungs: Sequence[str], width: int) -> list[Markup]:
    parts = [
        el("text", "rung", x=4, y=TOP + 6),
        el("text", "guarding", x=4, y=GUARD_Y + 9),
        el("text", "pain 10", x=4, y=PAIN_TOP + 4),
        el("text", "0", x=50, y=PAIN_TOP + PAIN_AREA + 4),
    ]
    for y in (TOP + RUNG_AREA, PAIN_TOP, PAIN_TOP + PAIN_AREA):
        parts.append(el("line", x1=LEFT - 8, x2=width - 4, y1=y, y2=y, class_="axis"))
    return parts


def _rung(session: Session, rungs: Sequence[str], x: int) -> list[Markup]:
    done = [rungs.index(given.rung) + 1 for given in session.given or () if given.rung in rungs]
    if not done:
        word = "?" if session.given is None else "–"
        return [el("text", word, x=x + 34, y=TOP + RUNG_AREA - 6)]
    height = RUNG_AREA * max(done) / len(rungs)
    y = TOP + RUNG_AREA - height
    worse = session.worsened_at not in (None, "none")
    return [
        el("rect", x=x + 8, y=f"{y:.1f}", width=56, height=f"{height:.1f}",
           class_="rung-bar worse" if worse else "rung-bar"),
        el("text", SHORT.get(rungs[max(done) - 1], rungs[max(done) - 1]), x=x + 10,
           y=f"{y - 4:.1f}"),
    ]  # fmt: skip


SHORT = {
    "muscle_energy_low": "ME low",
    "muscle_energy": "ME",
    "mobilization_1": "I",
    "mobilization_2": "II",
    "mobilization_3": "III",
    "mobilization_4": "IV",
    "thrust": "thrust",
}
"""Rungs where there is room for a few letters; the table says them in full."""


def _guarding(session: Session, x: int) -> list[Markup]:
    parts: list[Markup] = []
    for offset, word in ((8, session.guarding_before), (38, session.guarding_after)):
        steps = GUARDING.index(word) if word in GUARDING else None
        for box in range(3):
            filled = steps is not None and box < steps
            parts.append(
                el("rect", x=x + offset + box * 9, y=GUARD_Y, width=7, height=11,
                   class_="guard full" if filled else "guard")
            )  # fmt: skip
        if steps is None:
            parts.append(el("text", "?", x=x + offset + 8, y=GUARD_Y + 10))
    return parts
