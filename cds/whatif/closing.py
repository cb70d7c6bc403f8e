"""Closing a visit: three answers, and the record of the next one.

What was done (offered from the path, confirmed by the therapist), guarding at the end and pain
after become a session of the course. What today's steps showed is folded into it; how it settles
and what became of the comparable sign is asked at the next visit, so both stay unknown. Answers
stay with their dates and grow old as any others do. What is true of the day alone and has no date
of its own (palpated sides, steps, who treats) does not go on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, TypedDict

from cds.decide import Decider
from cds.features.compute import inputs as all_inputs
from cds.vocabulary.advice import Advice
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case, Given, ReferralRecord, Segment, Session
from cds.vocabulary.computed import SPREAD
from cds.vocabulary.model import URGENCIES
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Input
from cds.vocabulary.write import case_json

BEFORE = "before_session"
MEDICINES = ("none", "opioid", "sedative", "alcohol", "injection", "other")


@dataclass(frozen=True, slots=True)
class Closing:
    """The three answers; `guarding` and `pain` None where they were not taken.

    `referred`: destinations to which the therapist says the patient was referred today.
    """

    done: tuple[Given, ...]
    guarding: str | None
    pain: int | None
    referred: tuple[str, ...] = ()


class DoneOffered(TypedDict):
    """One rung at one level, offered as done until the therapist says otherwise."""

    level: str
    rung: str


class ReferralOffered(TypedDict):
    """A referral of the advice, to be confirmed as made."""

    to: str
    title: str
    urgency: str


class ClosingOffer(TypedDict):
    """What the three answers begin from. Guarding and pain are never offered."""

    done: list[DoneOffered]
    referrals: list[ReferralOffered]


class NotAdvisedError(ValueError):
    """A referral that the advice does not have; the text names the destination's place only."""

    def __init__(self, place: int) -> None:
        super().__init__("this advice has no such referral")
        self.place = place


def offer(decider: Decider, case: Case) -> ClosingOffer:
    """What may be confirmed: the steps of today where there are any, else the path's first rung."""
    advice = decider.decide(case)
    steps = [{"level": s.level, "rung": s.rung} for s in case.steps or () if s.level is not None]
    done: list[DoneOffered] = []
    for level, rung in dict.fromkeys((str(s["level"]), str(s["rung"])) for s in steps):
        done.append({"level": level, "rung": rung})
    if not case.steps:
        for segment in advice["segments"]:
            if segment["treat_today"]:
                rungs = [step["rung"] for step in segment["path"]["steps"]]
                done += [{"level": segment["level"], "rung": rung} for rung in rungs[:1]]
    return {"done": done, "referrals": _advised(advice)}


def close(decider: Decider, case: Case, closing: Closing) -> Case:
    """The record for the next visit: a case of the same day, before a session, with this session at
    the end of its course. Its as-of date is to be set to the day of the next visit.

    Raises `NotAdvisedError` for a referral that the advice of the visit does not make.
    """
    advice = decider.decide(case)
    return replace(
        case,
        moment=BEFORE,
        segments=_kept(case.segments),
        course=(*(case.course or ()), _session(decider, case, closing, advice)),
        steps=None,
        referrals=(*case.referrals, *_referrals(case, closing, advice)),
        referrals_sent=case.referrals_sent or bool(closing.referred),
        clinician=None,
        training={},
    )


def record(decider: Decider, case: Case, closing: Closing) -> dict[str, Any]:
    """The same record as the JSON of a case, every answer with its dates."""
    return case_json(decider.vocabulary, close(decider, case, closing))


# ---------------------------------------------------------------- the session
def _session(decider: Decider, case: Case, closing: Closing, advice: Advice) -> Session:
    standing = stand(decider.vocabulary, case).values
    seen = _seen(decider, case)
    medicine = _word(standing.get("medicine_today"))
    return Session(
        on=case.as_of,
        therapist=case.clinician,
        given=closing.done,
        advised=advice["path"]["up_to"]["now"],
        guarding_before=_word(standing.get("guarding")),
        guarding_after=closing.guarding,
        pain_before=_points(standing.get("pain")),
        pain_after=closing.pain,
        medicine_before=medicine if medicine in MEDICINES else None,
        **seen,
    )


def _seen(decider: Decider, case: Case) -> dict[str, str | None]:
    """What the steps of today showed; None throughout where no step was recorded."""
    if not case.steps:
        return {"spread": None, "stop_sign": None, "worsened_at": None}
    during = replace(case, moment="during_session")
    values = all_inputs(decider.program, during, stand(decider.vocabulary, during)).values
    worsened = values.get("today.worsened_at")
    spread = _word(values.get("today.spread"))
    return {
        "spread": spread if spread in SPREAD else None,
        "stop_sign": _word(values.get("today.new_sign")),
        "worsened_at": "none" if worsened is NOT_APPLICABLE else _word(worsened),
    }


def _kept(segments: tuple[Segment, ...] | None) -> tuple[Segment, ...] | None:
    """The levels that have dated answers, without the sides palpated today: those have no date."""
    if segments is None:
        return None
    kept = tuple(
        replace(segment, flexion=None, neutral=None, extension=None, grades={})
        for segment in segments
        if segment.answers
    )
    return kept or None


# ---------------------------------------------------------------- referrals
def _advised(advice: Advice) -> list[ReferralOffered]:
    return [
        {"to": r["to"], "title": r["title"], "urgency": r["urgency"]["now"]}
        for r in advice["referrals"]
        if r["urgency"]["now"] != URGENCIES[0]
    ]


def _referrals(case: Case, closing: Closing, advice: Advice) -> tuple[ReferralRecord, ...]:
    urgency: Mapping[str, str] = {r["to"]: r["urgency"] for r in _advised(advice)}
    found: list[ReferralRecord] = []
    for place, to in enumerate(closing.referred):
        if to not in urgency:
            raise NotAdvisedError(place)
        if to not in closing.referred[:place]:
            found.append(ReferralRecord(to, urgency[to], case.as_of))
    return tuple(found)


def _word(value: Input | None) -> str | None:
    return value.exact if isinstance(value, Choice) else None


def _points(value: Input | None) -> int | None:
    return value.exact if isinstance(value, Amount) else None
