"""The session in progress: what the last step did, and the latch once something got worse.

Guarding is compared with the lowest seen earlier today, so that easing and then returning is worse,
and the latch never opens again within the session. What was found before hands were laid on
(findings `guarding` and `pain`) is the first value of the day.
"""

from __future__ import annotations

from cds.features.last import trend
from cds.features.record import PAIN, Features, Record, points, put
from cds.features.uncertain import (
    YES_NO,
    Span,
    amount,
    choice,
    difference,
    lift,
    possible,
    said,
    some,
    truth,
)
from cds.vocabulary.case import Step
from cds.vocabulary.computed import FEATURES, GUARDING, SET_UP, SPREAD, TRENDS
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Tri

IN_SESSION = ("during_session", "after_session")
_TODAY = tuple(name for name, feature in FEATURES.items() if feature.today)
_CHANGE = (PAIN[0] - PAIN[1], PAIN[1] - PAIN[0])
_SET_UP = {"easy": "none", "pain": "pain", "resistance": "resistance"}
_WORST_SET_UP = ("none", "resistance", "pain")


def today_features(record: Record) -> Features:
    """All `today.*`. They do not apply before a session or between sessions.

    Before the first step: 0 steps, not worsened, no spread, no new sign, no set-up problem; the
    rest does not apply. Steps that were not sent are unknown.
    """
    case = record.case
    if case.moment not in IN_SESSION:
        return dict.fromkeys(_TODAY, NOT_APPLICABLE)
    steps = case.steps
    if steps is None:
        return {"today.steps": Amount(0, None)}
    found: Features = dict.fromkeys(_TODAY, NOT_APPLICABLE)
    found["today.steps"] = Amount(len(steps), len(steps))
    found["today.worsened"] = found["today.new_sign"] = Choice(("no",))
    found["today.spread"] = found["today.set_up_problem"] = Choice(("none",))
    if not steps:
        return found
    found = {"today.steps": found["today.steps"]}
    last = steps[-1]
    put(found, "today.last_rung", choice(possible(last.rung, record.rungs), record.rungs))
    before = possible(steps[-2].guarding, GUARDING) if len(steps) > 1 else record.guarding
    put(
        found,
        "today.guarding_trend",
        choice(lift(trend, before, possible(last.guarding, GUARDING)), TRENDS),
    )
    put(found, "today.pain_change", amount(_pain_change(record, steps), _CHANGE))
    put(found, "today.new_sign", truth(some(*(_yes(step.new_sign) for step in steps))))
    put(found, "today.spread", _worst([possible(step.spread, SPREAD) for step in steps], SPREAD))
    problem = _worst([_set_up(s) for s in steps], _WORST_SET_UP)
    # what is worst has an order of its own; the words of a value keep the declared one
    put(found, "today.set_up_problem", choice(set(problem.options), SET_UP) if problem else None)
    _latch(record, steps, found)
    return found


def worse_at(record: Record, steps: tuple[Step, ...]) -> tuple[Tri, ...]:
    """For each step: guarding above the lowest seen before it, distal spread, or a new sign."""
    places = [GUARDING.index(word) for word in record.guarding]
    lowest: Span = (min(places), max(places))
    found = []
    for step in steps:
        places = [GUARDING.index(word) for word in possible(step.guarding, GUARDING)]
        guarding = Tri.UNKNOWN
        if min(places) > lowest[1]:
            guarding = Tri.TRUE
        elif max(places) <= lowest[0]:
            guarding = Tri.FALSE
        lowest = (min(lowest[0], min(places)), min(lowest[1], max(places)))
        distal = said(step.spread, SPREAD[-1:], SPREAD[:-1])
        found.append(some(guarding, distal, _yes(step.new_sign)))
    return tuple(found)


def _latch(record: Record, steps: tuple[Step, ...], found: Features) -> None:
    worse = worse_at(record, steps)
    put(found, "today.worsened", truth(some(*worse)))
    surely = {s.rung for s, at in zip(steps, worse, strict=True) if at is Tri.TRUE}
    maybe = {s.rung for s, at in zip(steps, worse, strict=True) if at is Tri.UNKNOWN}
    if not surely:
        if not maybe:
            found["today.worsened_at"] = NOT_APPLICABLE
        return
    lowest = min(surely, key=record.rung_index)
    lower = {rung for rung in maybe if record.rung_index(rung) < record.rung_index(lowest)}
    put(found, "today.worsened_at", choice({lowest} | lower, record.rungs))


def _pain_change(record: Record, steps: tuple[Step, ...]) -> Span:
    """The most that pain was above the start of the session at any step: a later fall forgets
    nothing within the session."""
    changes = [difference(points(step.pain), record.pain) for step in steps]
    return (max(low for low, _ in changes), max(high for _, high in changes))


def _yes(word: str | None) -> Tri:
    return said(word, YES_NO[1:], YES_NO[:1])


def _set_up(step: Step) -> tuple[str, ...]:
    """What the set-up may have shown: owed of a thrust; a problem recorded elsewhere counts too."""
    if step.set_up in _SET_UP:
        return (_SET_UP[step.set_up],)
    return _WORST_SET_UP if step.rung == "thrust" else ("none",)


def _worst(each: list[tuple[str, ...]], order: tuple[str, ...]) -> Choice | None:
    """The worst word over all steps, least first in `order`."""
    low = max(min(order.index(word) for word in words) for words in each)
    high = max(max(order.index(word) for word in words) for words in each)
    could = {word for words in each for word in words if low <= order.index(word) <= high}
    return choice(could, order)
