"""The stage of an episode, from its days so far: under 6 weeks, 6 to 12, over 12.

The answer is true of the day on which it was observed, and days go on: what was day 30 then is day
50 twenty days later. Day 42 is subacute, day 84 still is (common practice for the bounds).
"""

from __future__ import annotations

from cds.features.record import Features, Record, put
from cds.features.uncertain import choice
from cds.vocabulary.computed import STAGES
from cds.vocabulary.values import Amount

SIX_WEEKS, TWELVE_WEEKS = 42, 84
"""Days; acute is less than the first, chronic more than the second."""

NEVER_LESS = 0


def stage_features(record: Record) -> Features:
    """`stage`; unknown where the days of the episode are not recorded."""
    days = record.standing.get("duration_days")
    found: Features = {}
    if isinstance(days, Amount):
        since = _days_since_told(record)
        low = STAGES.index(_stage((days.low or NEVER_LESS) + since))
        high = len(STAGES) - 1 if days.high is None else STAGES.index(_stage(days.high + since))
        put(found, "stage", choice(STAGES[low : high + 1], STAGES))
    return found


def _stage(days: int) -> str:
    if days < SIX_WEEKS:
        return "acute"
    return "subacute" if days <= TWELVE_WEEKS else "chronic"


def _days_since_told(record: Record) -> int:
    answers = record.case.answers.get("duration_days", ())
    told = [answer.observed for answer in answers if answer.value is not None]
    return record.days_since(max(told)) if told else 0
