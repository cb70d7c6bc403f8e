"""Random legal cases over any vocabulary, from a seeded plain generator.

Everything is invented by chance: nobody's record. `random_case` returns the JSON an EMR would
send, so
that reading is exercised too; every case it makes is legal.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any

from cds.problems import CaseError
from cds.vocabulary.model import LEVELS, MOMENTS, SIDES, Finding, Kind, Scope
from cds.vocabulary.reading import read_case
from cds.vocabulary.vocabulary import Vocabulary

AS_OF = date(2026, 11, 20)
GUARDING = ("none", "mild", "moderate", "marked")


def random_case(rng: Random, vocab: Vocabulary) -> dict[str, Any]:
    """One legal case as JSON, from nearly empty to nearly complete, mostly with few adverse
    findings.

    A finding that turns out not to apply is taken out again.
    """
    case = _draw(rng, vocab)
    for _ in range(4):
        try:
            read_case(vocab, case)
        except CaseError as error:
            for problem in error.problems:
                _drop(case, problem.pointer or "")
        else:
            break
    return case


def _drop(case: Any, pointer: str) -> None:
    parts = pointer.split("/")[1:]
    depth = 4 if parts[0] == "segments" else 2
    for part in parts[: depth - 1]:
        case = case[int(part)] if isinstance(case, list) else case.get(part, {})
    case.pop(parts[depth - 1], None)


def _draw(rng: Random, vocab: Vocabulary) -> dict[str, Any]:
    share = rng.choice((0.1, 0.5, 0.9, 1.0, 1.0))
    adverse = rng.choice((0.0, 0.0, 0.01, 0.05, 0.3))
    moment = rng.choice((*MOMENTS, "before_session", "before_session"))
    case: dict[str, Any] = {"as_of": AS_OF.isoformat(), "moment": moment}
    if rng.random() < 0.9:
        case["patient"] = {"age": rng.randint(13, 95), "sex": rng.choice(("female", "male"))}
    course = _course(rng)
    if course is not None:
        case["course"] = course
    case["answers"] = {
        finding.name: _answer(rng, finding, adverse)
        for finding in vocab.findings.values()
        if finding.scope is Scope.CASE and rng.random() < share
    }
    if rng.random() < 0.85:
        levels = sorted(rng.sample(LEVELS, rng.randint(0, 4)), key=LEVELS.index)
        case["segments"] = [_segment(rng, vocab, level, share, adverse) for level in levels]
    if moment in ("during_session", "after_session"):
        case["today"] = {"steps": [_step(rng, vocab) for _ in range(rng.randint(0, 4))]}
    if rng.random() < share:
        case["consents"] = [
            {
                "family": family,
                "region": "lumbar",
                "on": AS_OF.isoformat(),
                "by": "patient",
                "capacity": "yes",
                "risks_given": "yes",
                "alternative_given": "yes",
            }
            for family in ("hands_on", "thrust")
        ]
        case["referrals"] = []
        case["clinician"] = {
            "id": "t-1",
            "training": {"muscle_energy": "yes", "mobilization": "yes", "thrust": "yes"},
        }
    return case


def _answer(rng: Random, finding: Finding, adverse: float) -> Any:
    value = _value(rng, finding, adverse)
    if rng.random() < (0.8 if adverse else 0.995):
        return value
    observed = AS_OF - timedelta(days=rng.choice((0, 1, 6, 28, 29, 200, 800)))
    if rng.random() < 0.1:
        return {"missing": rng.choice(("declined", "patient_unsure", "cannot_assess"))}
    return {"value": value, "observed": observed.isoformat(), "how": "asked", "by": "t-1"}


def _value(rng: Random, finding: Finding, adverse: float) -> Any:
    if finding.kind is Kind.DATE:
        return (AS_OF - timedelta(days=rng.randint(0, 4000))).isoformat()
    if finding.numeric:
        low = finding.steps(finding.low) if finding.low is not None else 0
        high = finding.steps(finding.high) if finding.high is not None else 20
        assert low is not None and high is not None
        span = (high - low) // 16
        if rng.random() >= adverse and "up" in finding.adverse:
            high = low + span
        elif rng.random() >= adverse and "down" in finding.adverse:
            low = high - span
        elif rng.random() >= adverse:
            high = low + span * rng.choice((1, 1, 1, 8))
        number = finding.number(rng.randint(low, high))
        return int(number) if number == int(number) else float(number)
    bad = [v for v in finding.values if v in finding.adverse]
    good = [v for v in finding.values if v not in finding.adverse]
    chosen = bad if bad and (not good or rng.random() < adverse) else good
    return rng.choice(chosen or list(finding.values))


def _segment(
    rng: Random, vocab: Vocabulary, level: str, share: float, adverse: float
) -> dict[str, Any]:
    sides = ("symmetric", *SIDES)
    answers = {
        finding.name.removeprefix("segment."): _answer(rng, finding, adverse)
        for finding in vocab.findings.values()
        if finding.scope is Scope.SEGMENT and rng.random() < share
    }
    if "provocation" in answers and rng.random() < 0.7:
        answers["provocation"] = "concordant"
    return {
        "level": level,
        "prominent": {
            position: rng.choice(sides)
            for position in ("flexion", "neutral", "extension")
            if rng.random() < share
        },
        "answers": answers,
    }


def _course(rng: Random) -> list[dict[str, Any]] | None:
    if rng.random() < 0.1:
        return None
    count = rng.choice((0, 0, 1, 2, 4, 6))
    day = AS_OF - timedelta(days=7 * count + rng.randint(0, 10))
    rungs = ("muscle_energy_low", "muscle_energy", "mobilization_1", "mobilization_2",
             "mobilization_3", "mobilization_4", "thrust")  # fmt: skip
    sessions = []
    for number in range(count):
        full = {
            "on": (day + timedelta(days=7 * number)).isoformat(),
            "therapist": rng.choice(("t-1", "t-1", "t-2")),
            "given": [
                {"level": rng.choice(LEVELS), "rung": rng.choice(rungs), "side": rng.choice(SIDES)}
            ],
            "guarding_before": rng.choice(GUARDING),
            "guarding_after": rng.choice(GUARDING),
            "pain_before": rng.randint(0, 10),
            "pain_after": rng.randint(0, 10),
            "settled": rng.choice(("within_24h", "within_48h", "not_settled")),
            "adverse": rng.choice(("none", "none", "none", "minor", "serious")),
            "medicine_before": rng.choice(("none", "none", "opioid")),
            "comparable_sign": rng.choice(("better", "same", "worse")),
            "spread": rng.choice(("none", "none", "proximal", "distal")),
            "stop_sign": rng.choice(("no", "no", "no", "yes")),
        }
        keep = rng.choice((0.5, 1.0, 1.0))
        sessions.append(
            {k: v for k, v in full.items() if k in ("on", "therapist") or rng.random() < keep}
        )
    return sessions


def _step(rng: Random, vocab: Vocabulary) -> dict[str, Any]:
    hands_on = [rung for rung in vocab.ladder.rung_names if rung not in
                ("no_treatment", "exercise_only")]  # fmt: skip
    return {
        "rung": rng.choice(hands_on),
        "guarding": rng.choice(GUARDING),
        "pain": rng.randint(0, 10),
        "spread": rng.choice(("none", "none", "proximal", "distal")),
        "new_sign": rng.choice(("no", "no", "no", "yes")),
        "set_up": rng.choice(("easy", "easy", "pain", "resistance")),
    }
