"""What one judged case comes to beside another of the same visit: as data, and in a few words."""

from __future__ import annotations

from typing import TypedDict

from cds.engine.path import EXERCISE_ONLY, NO_TREATMENT
from cds.explain.words import word
from cds.rulebook.program import Program
from cds.vocabulary.model import CARE, CONCERN, NAMELESS, URGENCIES
from cds.whatif.look import Look

THRUST = "thrust"


class HeadlineOf(TypedDict):
    """Kind and text of a headline."""

    kind: str
    text: str


class ReferralOf(TypedDict):
    """Where to, how urgently, and whether only an open question holds it."""

    to: str
    title: str
    urgency: str
    held_only: bool


class ConcernOf(TypedDict):
    """The level of concern for one condition."""

    condition: str
    title: str
    level: str


class LevelOf(TypedDict):
    """The most that is open at one level today, and whether a thrust is."""

    level: str
    up_to: str
    thrust: bool
    treat_today: bool


class State(TypedDict):
    """What a case comes to. `owed`: answers still owed, the questions of one block being one."""

    status: str
    headline: HeadlineOf
    care_today: str
    referrals: list[ReferralOf]
    concerns: list[ConcernOf]
    levels: list[LevelOf]
    owed: int


def state(look: Look) -> State:
    """The state of a judged case."""
    treated = set(look.paths.treated)
    owed = {q.get("block") or (q["finding"], q.get("level")) for q in look.owed}
    return {
        "status": look.status,
        "headline": {"kind": look.headline["kind"], "text": look.headline["text"]},
        "care_today": CARE[look.paths.now.care],
        "referrals": [
            {"to": r["to"], "title": r["title"], "urgency": r["urgency"]["now"],
             "held_only": r["held_only"]}
            for r in look.referrals
            if r["urgency"]["now"] != URGENCIES[0]
        ],
        "concerns": [
            {"condition": c["condition"], "title": c["title"], "level": c["level"]["now"]}
            for c in look.concerns
            if c["level"]["now"] != CONCERN[0]
        ],
        "levels": [
            {
                "level": level,
                "up_to": look.paths.now.paths[level].up_to,
                "thrust": THRUST in look.paths.now.paths[level].steps,
                "treat_today": level in treated,
            }
            for level in look.levels
            if level != NAMELESS
        ],
        "owed": len(owed),
    }  # fmt: skip


def changes(program: Program, before: State, after: State) -> list[str]:
    """What becomes another between the two, the gravest first; empty where nothing does."""
    found = _referrals(before, after) + _concerns(before, after)
    if after["care_today"] != before["care_today"]:
        care = after["care_today"]
        found.append("no hands-on care" if care == CARE[-1] else f"care today: {word(care)}")
    found += _levels(program, before, after)
    if after["status"] != before["status"]:
        found.append(
            {"settled": "settled", "stopped": "stops here"}.get(after["status"], "not settled")
        )
    kinds = {before["headline"]["kind"], after["headline"]["kind"]}
    if after["headline"]["text"] != before["headline"]["text"] and not found:
        # of a visit that stays unsettled only the number of owed answers is another, said below
        found += [] if kinds == {"not_settled"} else [after["headline"]["text"]]
    found += _owed(before["owed"], after["owed"])
    return found


def sentence(said: list[str]) -> str:
    """The changes as one clause: `thrust opens at L5; 2 fewer answers owed`."""
    return "; ".join(said) if said else "nothing changes by this answer alone"


def _referrals(before: State, after: State) -> list[str]:
    old = {r["to"]: r for r in before["referrals"]}
    new = {r["to"]: r for r in after["referrals"]}
    found: list[tuple[int, str]] = []
    for to, entry in new.items():
        was = old.get(to)
        if was is None or was["urgency"] != entry["urgency"]:
            held = ", held until answered" if entry["held_only"] else ""
            text = f"refer to {entry['title']}, {word(entry['urgency'])}{held}"
            found.append((-URGENCIES.index(entry["urgency"]), text))
        elif was["held_only"] and not entry["held_only"]:
            text = f"refer to {entry['title']}, {word(entry['urgency'])}: no longer only held"
            found.append((-URGENCIES.index(entry["urgency"]), text))
        elif entry["held_only"] and not was["held_only"]:
            text = f"refer to {entry['title']}, {word(entry['urgency'])}: only held until answered"
            found.append((-URGENCIES.index(entry["urgency"]), text))
    found += [(0, f"no referral to {r['title']}") for to, r in old.items() if to not in new]
    return [text for _, text in sorted(found)]


def _concerns(before: State, after: State) -> list[str]:
    old = {c["condition"]: c["level"] for c in before["concerns"]}
    new = {c["condition"]: c["level"] for c in after["concerns"]}
    titles = {c["condition"]: c["title"] for c in (*before["concerns"], *after["concerns"])}
    names = [name for name in titles if old.get(name) != new.get(name)]
    names.sort(key=lambda name: (-CONCERN.index(new.get(name, CONCERN[0])), name))
    return [f"concern of {titles[name]}: {new.get(name, CONCERN[0])}" for name in names]


def _levels(program: Program, before: State, after: State) -> list[str]:
    rungs = program.ladder.rung_names
    titles = {rung.name: rung.title for rung in program.ladder.rungs}
    old = {entry["level"]: entry for entry in before["levels"]}
    by_text: dict[str, list[str]] = {}
    for entry in after["levels"]:
        was = old.get(entry["level"])
        if was is None:
            continue
        for text in _level(was, entry, rungs, titles):
            by_text.setdefault(text, []).append(entry["level"])
    return [f"{text} at {', '.join(levels)}" for text, levels in by_text.items()]


def _level(was: LevelOf, now: LevelOf, rungs: tuple[str, ...], titles: dict[str, str]) -> list[str]:
    if was["up_to"] == now["up_to"]:
        return [] if was["treat_today"] == now["treat_today"] else [
            "treated today" if now["treat_today"] else "not treated today"
        ]  # fmt: skip
    hands_on = now["up_to"] not in (EXERCISE_ONLY, NO_TREATMENT)
    if now["thrust"] != was["thrust"] and not hands_on:
        return ["thrust is shut, and every hands-on rung"]
    if not hands_on:
        return ["every hands-on rung is shut"]
    if now["thrust"] != was["thrust"]:
        shut = f"thrust is shut, no higher than {titles[now['up_to']]}"
        return ["thrust opens" if now["thrust"] else shut]
    higher = rungs.index(now["up_to"]) > rungs.index(was["up_to"])
    return [f"{'up to' if higher else 'no higher than'} {titles[now['up_to']]}"]


def _owed(before: int, after: int) -> list[str]:
    if before == after:
        return []
    more, count = after > before, abs(after - before)
    return [f"{count} {'more' if more else 'fewer'} answer{'' if count == 1 else 's'} owed"]
