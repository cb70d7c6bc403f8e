"""What a fixture expects, compared with an advice: every key given is checked, none is ignored."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, cast

from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, Limit

FORBIDDEN = re.compile(r"\b(safe|cleared|red flags? (are )?negative|compliant)\b", re.IGNORECASE)
"""Words that no advice may use of a patient: nothing recorded proves them."""

_SWAP = {"left": "right", "right": "left"}
_SIDE = re.compile(r"\b(left|right)\b")


def differences(program: Program, advice: Advice, expect: Mapping[str, Any]) -> list[str]:
    """One line for each expectation that is not met, or that is not one at all."""
    found = []
    for key, wanted in expect.items():
        check = CHECKS.get(key)
        if check is None:
            found.append(f"`{key}` is not an expectation ({', '.join(CHECKS)})")
            continue
        found.extend(f"{key}: {line}" for line in check(program, advice, wanted))
    return found


def forbidden(advice: Advice) -> list[str]:
    """Every text of the advice that uses a forbidden word."""
    return [text for text in texts(advice) if FORBIDDEN.search(text)]


def texts(value: object) -> Iterator[str]:
    """Every string value within plain data."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from texts(inner)
    elif isinstance(value, (list, tuple)):
        for inner in value:
            yield from texts(inner)


def floats(value: object) -> bool:
    """Whether a floating-point number is anywhere within plain data."""
    if isinstance(value, dict):
        return any(floats(inner) for inner in value.values())
    if isinstance(value, (list, tuple)):
        return any(floats(inner) for inner in value)
    return isinstance(value, float)


def essence(advice: Advice, *, swapped: bool = False) -> dict[str, Any]:
    """What a mirrored case must share: levels, rungs, limits, rules; sides exchanged if asked."""

    def side(word: str | None) -> str | None:
        return _SWAP.get(word, word) if swapped and word else word

    def words(value: object) -> list[str]:
        found = texts(value)
        return [_SIDE.sub(_other, text) for text in found] if swapped else list(found)

    return {
        "headline": advice["headline"],
        "status": advice["status"],
        "care_today": advice["care_today"],
        "referrals": advice["referrals"],
        "concerns": advice["concerns"],
        "path": advice["path"],
        "limits": [
            {key: value for key, value in limit.items() if key not in _HOLDERS}
            for limit in advice["limits"]
        ],
        "next_step": advice["next_step"],
        "segments": [
            {
                "level": segment["level"],
                "order": segment["order"],
                "treated": segment["treat_today"],
                "pattern": segment["pattern"],
                "indicated": segment["indicated"],
                "path": segment["path"],
                "sides": {kind: side(word) for kind, word in segment["sides"].items()},
                "cards": [words(card) for card in segment["cards"]],
            }
            for segment in advice["segments"]
        ],
        "home": sorted(words(exercise) for exercise in advice["home"]),
        "said": {
            key: sorted(words(advice[key]))
            for key in ("retest", "cautions", "education", "safety_net", "consent_points")
        },
        "steps": sorted(
            (step["rule"], step["status"], step.get("level", ""), side(step.get("side")) or "")
            for step in advice["chain"]["steps"]
        ),
        "open": sorted(
            (rule["rule"], rule.get("level", ""), side(rule.get("side")) or "", rule["holds"])
            for rule in advice["chain"]["open"]
        ),
        "questions": sorted((q["finding"], q.get("level", "")) for q in advice["open_questions"]),
    }


def _other(match: re.Match[str]) -> str:
    return _SWAP[match[0]]


_HOLDERS = ("contraindications", "policy", "others")

# ---------------------------------------------------------------- one check per key


def _word(read: Callable[[Advice], str]) -> _Check:
    def check(program: Program, advice: Advice, wanted: object) -> list[str]:
        found = read(advice)
        return [] if found == wanted else [f"{found}, not {wanted}"]

    return check


def _exactly(read: Callable[[Advice], object]) -> _Check:
    def check(program: Program, advice: Advice, wanted: object) -> list[str]:
        found = read(advice)
        return [] if found == wanted else [f"{found}, not {wanted}"]

    return check


def _ids(read: Callable[[Advice], set[str]], *, among: bool = False) -> _Check:
    """The set of ids, exactly, or at least these."""

    def check(program: Program, advice: Advice, wanted: object) -> list[str]:
        found, asked = read(advice), set(cast(list[str], wanted))
        lacking, more = sorted(asked - found), sorted(found - asked)
        lines = [f"lacks {', '.join(lacking)}"] if lacking else []
        if more and not among:
            lines.append(f"has also {', '.join(more)}")
        return lines

    return check


def _each(read: Callable[[Advice], dict[str, Any]]) -> _Check:
    """The entries named, of a mapping that may have more."""

    def check(program: Program, advice: Advice, wanted: object) -> list[str]:
        found = read(advice)
        asked = cast(dict[str, Any], wanted)
        return [
            f"{key} is {found.get(key)}, not {word}"
            for key, word in asked.items()
            if found.get(key) != word
        ]

    return check


def _no_exercises(program: Program, advice: Advice, wanted: object) -> list[str]:
    asked = set(cast(list[str], wanted))
    lines = [f"no exercise {name}" for name in sorted(asked - set(program.exercises))]
    hit = sorted(asked & {exercise["id"] for exercise in advice["home"]})
    return [*lines, f"has {', '.join(hit)}"] if hit else lines


def _rules(status: str) -> _Check:
    def check(program: Program, advice: Advice, wanted: object) -> list[str]:
        states = _states(advice)
        lines = []
        for rule in cast(list[str], wanted):
            if rule not in program.rules:
                lines.append(f"no rule {rule}")
            elif status not in states.get(rule, {"quiet"}):
                lines.append(f"{rule} is {' and '.join(sorted(states.get(rule, {'quiet'})))}")
        return lines

    return check


def _states(advice: Advice) -> dict[str, set[str]]:
    """Rule -> fired, held (open and it decides something now), open (open and it does not)."""
    found: dict[str, set[str]] = {}
    for step in advice["chain"]["steps"]:
        found.setdefault(step["rule"], set()).add("fired" if step["status"] == "fired" else "held")
    for rule in advice["chain"]["open"]:
        if not rule["holds"]:
            found.setdefault(rule["rule"], set()).add("open")
    return found


def _limit_name(limit: Limit) -> str:
    return limit["family"] + (f"@{limit['level']}" if "level" in limit else "")


def _limits(advice: Advice) -> dict[str, Any]:
    return {_limit_name(limit): limit["most"]["now"] for limit in advice["limits"]}


def _not_limited(program: Program, advice: Advice, wanted: object) -> list[str]:
    """Families (at a level, or for the case) that nothing lowers, neither fired nor held."""
    limits = _limits(advice)
    lines = []
    for name in cast(list[str], wanted):
        family = next(
            (f for f in program.ladder.families if f.name == name.partition("@")[0]), None
        )
        if family is None:
            lines.append(f"no family {name}")
        elif limits.get(name, family.limits[-1]) != family.limits[-1]:
            lines.append(f"{name} is {limits[name]}")
    return lines


def _basis(kind: str) -> _Check:
    """Rules that hold a limit under one heading of the advice, by family or `family@level`."""

    def check(program: Program, advice: Advice, wanted: object) -> list[str]:
        lines = []
        for family, rules in cast(dict[str, list[str]], wanted).items():
            found = {
                holder["rule"]
                for limit in advice["limits"]
                if _limit_name(limit) == family
                for holder in cast(dict[str, Any], limit)[kind]
            }
            if found != set(rules):
                lines.append(f"{family}: {sorted(found)}, not {sorted(rules)}")
        return lines

    return check


def _sides(advice: Advice) -> dict[str, Any]:
    return {segment["level"]: segment["sides"] for segment in advice["segments"]}


def _steps(advice: Advice) -> dict[str, Any]:
    return {
        segment["level"]: [step["rung"] for step in segment["path"]["steps"]]
        for segment in advice["segments"]
    }


_Check = Callable[[Program, Advice, object], list[str]]

CHECKS: dict[str, _Check] = {
    "headline": _word(lambda a: a["headline"]["kind"]),
    "status": _word(lambda a: a["status"]),
    "care_today": _word(lambda a: a["care_today"]["now"]),
    "referrals": _exactly(
        lambda a: {r["to"]: r["urgency"]["now"] for r in a["referrals"] if not r["held_only"]}
    ),
    "concerns": _exactly(
        lambda a: {
            c["condition"]: c["level"]["now"] for c in a["concerns"] if c["level"]["now"] != "none"
        }
    ),
    "start_at": _word(lambda a: a["path"]["start_at"]),
    "up_to": _word(lambda a: a["path"]["up_to"]["now"]),
    "up_to_at": _each(lambda a: {s["level"]: s["path"]["up_to"]["now"] for s in a["segments"]}),
    "steps_at": _each(_steps),
    "step_down_to": _exactly(lambda a: a["path"]["step_down_to"]),
    "treated": _exactly(lambda a: [s["level"] for s in a["segments"] if s["treat_today"]]),
    "order": _exactly(lambda a: [s["level"] for s in a["segments"]]),
    "pattern": _each(lambda a: {s["level"]: s["pattern"] for s in a["segments"]}),
    "bilateral": _each(lambda a: {s["level"]: s["bilateral"] for s in a["segments"]}),
    "confidence": _each(lambda a: {s["level"]: s["confidence"] for s in a["segments"]}),
    "sides": _each(_sides),
    "limits": _each(_limits),
    "not_limited": _not_limited,
    "contraindications": _basis("contraindications"),
    "policy_holds": _basis("policy"),
    "other_holds": _basis("others"),
    "fired": _rules("fired"),
    "held": _rules("held"),
    "open": _rules("open"),
    "quiet": _rules("quiet"),
    "next_step": _word(lambda a: a["next_step"]["step"]),
    "cards": _ids(lambda a: {card["id"] for s in a["segments"] for card in s["cards"]}),
    "alternatives": _ids(lambda a: {c["id"] for s in a["segments"] for c in s["alternatives"]}),
    "exercises": _ids(lambda a: {e["id"] for e in a["home"]}),
    "no_exercises": _no_exercises,
    "retest_include": _ids(lambda a: {t["id"] for t in a["retest"]}, among=True),
    "cautions_include": _ids(lambda a: {t["id"] for t in a["cautions"]}, among=True),
    "safety_net_include": _ids(lambda a: {t["id"] for t in a["safety_net"]}, among=True),
    "consent_points_include": _ids(lambda a: {t["id"] for t in a["consent_points"]}, among=True),
    "information": _ids(lambda a: {t["id"] for t in a["information"]}),
    "education_include": _ids(lambda a: {t["id"] for t in a["education"]}, among=True),
    "open_questions": _ids(lambda a: {_at(q) for q in a["open_questions"]}),
    "open_questions_include": _ids(lambda a: {_at(q) for q in a["open_questions"]}, among=True),
    "stale": _ids(lambda a: {s["finding"] for s in a["answers"]["stale"]}),
}
"""Every key that `expect` may have."""


def _at(question: Any) -> str:
    return str(question["finding"]) + (f"@{question['level']}" if "level" in question else "")
