"""How many sessions in a row brought no gain: the reason to examine again, never to go higher.

No trial tests such a count; the two points of pain are the smallest change that matters to patients
(Ostelo 2008), the rest is a proposal derived from studies of within-session change.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.features.last import masked, within
from cds.features.record import Features, Record, points
from cds.features.uncertain import Span, among, at_least, difference, every, opposite, said, some
from cds.vocabulary.case import Session
from cds.vocabulary.computed import COMPARABLE
from cds.vocabulary.values import Amount, Tri

POINTS_THAT_MATTER = 2


def gain_features(record: Record, course: tuple[Session, ...]) -> Features:
    """`sessions_without_gain`, `sessions_pain_flat`: counts, as intervals where parts are unknown.

    The first counts the latest sessions at the rung of the last one without any gain in them. The
    second counts the latest sessions, at any rung, since whose start pain has not fallen by two
    points until today: gains that did not last.
    """
    rung = record.highest_given(course[-1])
    without = (
        every(
            Tri.TRUE if session is course[-1] else _same(rung, record.highest_given(session)),
            opposite(gained(session)),
        )
        for session in reversed(course)
    )
    flat = (
        opposite(at_least(difference(points(session.pain_before), record.pain), POINTS_THAT_MATTER))
        for session in reversed(course)
    )
    return {
        "sessions_without_gain": Amount(*_run(without)),
        "sessions_pain_flat": Amount(*_run(flat)),
    }


def gained(session: Session) -> Tri:
    """Pain down by two points, guarding eased or the comparable sign better.

    After an opioid, a sedative, alcohol or an injection less pain and eased guarding do not count;
    the comparable sign still does.
    """
    readable = opposite(masked(session))
    fallen = difference(points(session.pain_before), points(session.pain_after))
    return some(
        said(session.comparable_sign, COMPARABLE[:1], COMPARABLE[1:]),
        every(
            readable,
            some(at_least(fallen, POINTS_THAT_MATTER), among(within(session), ("eased",))),
        ),
    )


def _same(rung: tuple[str, ...], other: tuple[str, ...]) -> Tri:
    if len(rung) == 1 and rung == other:
        return Tri.TRUE
    return Tri.UNKNOWN if set(rung) & set(other) else Tri.FALSE


def _run(latest_first: Iterable[Tri]) -> Span:
    """How many in a row are true, from the first: certainly, and at most."""
    sure, most, still_sure = 0, 0, True
    for truth in latest_first:
        if truth is Tri.FALSE:
            break
        still_sure = still_sure and truth is Tri.TRUE
        most += 1
        sure += still_sure
    return (sure, most)
