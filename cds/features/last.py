"""How the last session went: its highest rung, guarding, pain, settling, a step down."""

from __future__ import annotations

from cds.features.record import MASKING, PAIN, Features, Record, points, put
from cds.features.uncertain import (
    Words,
    amount,
    at_least,
    choice,
    difference,
    every,
    lift,
    opposite,
    possible,
    said,
    some,
    truth,
)
from cds.vocabulary.case import Session
from cds.vocabulary.computed import ADVERSE, GUARDING, SPREAD, TRENDS
from cds.vocabulary.values import NOT_APPLICABLE, Tri

WITHIN_24, WITHIN_48 = "within_24h", "within_48h"
NOT_SETTLED = ("longer", "not_settled")
UNMASKED = ("none", "other")
"""Medicines before a session that leave its response readable."""

RATER_STEPS = 2
"""Steps of guarding that two raters must be apart to be believed (common practice)."""


def last_features(record: Record, course: tuple[Session, ...]) -> Features:
    """Features of the last session of a course that is not empty."""
    last = course[-1]
    found: Features = {}
    put(found, "last_rung", choice(record.highest_given(last), record.rungs))
    put(found, "guarding_within_last", choice(within(last), TRENDS))
    put(found, "guarding_between", choice(_between(record, last), TRENDS))
    change = difference(points(last.pain_after), points(last.pain_before))
    put(found, "pain_within_last", amount(change, (PAIN[0] - PAIN[1], PAIN[1] - PAIN[0])))
    put(found, "settled_48h", truth(settled(record, last)))
    put(found, "last_tolerated", truth(_tolerated(record, last)))
    _step_down(record, course, found)
    return found


def trend(before: str, after: str) -> str:
    """One of TRENDS, from one guarding word to a later one."""
    steps = GUARDING.index(after) - GUARDING.index(before)
    return "same" if steps == 0 else ("worse" if steps > 0 else "eased")


def masked(session: Session) -> Tri:
    """Whether something taken before the session makes its response unreadable."""
    return said(session.medicine_before, MASKING, UNMASKED)


def within(session: Session) -> Words:
    """How guarding may have gone from before to after one session."""
    before = possible(session.guarding_before, GUARDING)
    return tuple(lift(trend, before, possible(session.guarding_after, GUARDING)))


def _between(record: Record, last: Session) -> Words:
    """From the end of the last session to now.

    Another or an unnamed therapist may grade the same back one step apart: one step says nothing.
    """
    therapist, clinician = last.therapist, record.case.clinician
    one_rater = therapist is not None and therapist == clinician
    could: set[str] = set()
    for before in possible(last.guarding_after, GUARDING):
        for after in record.guarding:
            apart = abs(GUARDING.index(after) - GUARDING.index(before))
            believed = one_rater or apart >= RATER_STEPS
            could |= {trend(before, after)} if believed else set(TRENDS)
    return tuple(could)


def settled(record: Record, session: Session) -> Tri:
    """Whether the session settled within the declared hours (`settle_hours`)."""
    hours = record.parameter("settle_hours")
    in_time = [word for word, least in ((WITHIN_24, 24), (WITHIN_48, 48)) if hours >= least]
    late = [word for word in (WITHIN_24, WITHIN_48) if word not in in_time]
    return said(session.settled, in_time, (*late, *NOT_SETTLED))


def _tolerated(record: Record, last: Session) -> Tri:
    """No adverse response, no distal spread, and settled in time or pain not up.

    Pain counts as up when it rose by `pain_rise` within the session, or is that much higher today
    than before it: the careful reading of a session that did not settle.
    """
    rise = record.parameter("pain_rise")
    before = points(last.pain_before)
    up = some(
        at_least(difference(points(last.pain_after), before), rise),
        at_least(difference(record.pain, before), rise),
    )
    return every(
        said(last.adverse, ADVERSE[:1], ADVERSE[1:]),
        said(last.spread, SPREAD[:-1], SPREAD[-1:]),
        some(settled(record, last), opposite(up)),
    )


def _step_down(record: Record, course: tuple[Session, ...], found: Features) -> None:
    """Whether the last session ended lower or worse than it should have, and the rung below that.

    Worse in it: the rung below its highest. Lower than the one before: the rung below that one's
    highest. Both: the lower of the two.
    """
    last = course[-1]
    places = tuple(str(place) for place in range(len(record.rungs)))
    here = tuple(str(record.rung_index(rung)) for rung in record.highest_given(last))
    before = (
        tuple(str(record.rung_index(rung)) for rung in record.highest_given(course[-2]))
        if len(course) > 1
        else None
    )

    def below(worse: str, now: str, then: str) -> str:
        worsened = ([int(now)] if worse == "worse" else []) + (
            [int(then)] if int(now) < int(then) else []
        )
        return record.rungs[max(min(worsened) - 1, 0)] if worsened else ""

    # A first session has none before it: nothing is lower than the lowest rung.
    ceilings = lift(below, within(last), here, before or places[:1])
    if "" not in ceilings:
        put(found, "stepped_down_last", truth(Tri.TRUE))
        put(found, "rung_ceiling_after_step_down", choice(ceilings, record.rungs))
    elif ceilings == {""}:
        put(found, "stepped_down_last", truth(Tri.FALSE))
        found["rung_ceiling_after_step_down"] = NOT_APPLICABLE
    if last.worsened_at == "none":
        found["worsened_at_last"] = NOT_APPLICABLE
    else:
        put(
            found,
            "worsened_at_last",
            choice(possible(last.worsened_at, record.rungs), record.rungs),
        )
