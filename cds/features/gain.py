"""How many sessions in a row brought no gain, or made it worse: a reason to examine again or to
send back, never to go higher.

No trial tests such a count; the two points of pain are the smallest change that matters to patients
(Ostelo 2008), the rest is a proposal derived from studies of within-session change.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.features.last import masked, settled, within
from cds.features.record import Features, Record, points
from cds.features.uncertain import Span, among, at_least, difference, every, opposite, said, some
from cds.vocabulary.case import Session
from cds.vocabulary.computed import ADVERSE, COMPARABLE, SPREAD
from cds.vocabulary.values import Amount, Tri

POINTS_THAT_MATTER = 2


def gain_features(record: Record, course: tuple[Session, ...]) -> Features:
    """`sessions_without_gain`, `sessions_worse`, `sessions_pain_flat`: counts, as intervals where
    parts are unknown.

    The first counts the latest sessions at the rung of the last one without any gain in them. The
    second counts the latest sessions, at any rung, since whose start pain has not fallen by two
    points until today: gains that did not last. `sessions_worse` counts the latest sessions, at any
    rung, that each made it worse.
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
        "sessions_worse": Amount(*_run(reversed(_worse(record, course)))),
        "sessions_pain_flat": Amount(*_run(flat)),
    }


def _worse(record: Record, course: tuple[Session, ...]) -> list[Tri]:
    """Whether each session made it worse: a worse comparable sign, distal spread, a serious adverse
    response, or pain up by `pain_rise` after it or at the next visit that did not settle in time.
    Soreness that settles is not worse (common practice, after the stop triggers of the book).
    """
    rise = record.parameter("pain_rise")
    nexts = [*(points(session.pain_before) for session in course[1:]), record.pain]
    found = []
    for session, following in zip(course, nexts, strict=True):
        before = points(session.pain_before)
        up = some(
            at_least(difference(points(session.pain_after), before), rise),
            at_least(difference(following, before), rise),
        )
        found.append(
            some(
                said(session.comparable_sign, COMPARABLE[-1:], COMPARABLE[:-1]),
                said(session.spread, SPREAD[-1:], SPREAD[:-1]),
                said(session.adverse, ADVERSE[-1:], ADVERSE[:-1]),
                every(up, opposite(settled(record, session))),
            )
        )
    return found


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
