"""How old an answer may be: periods, episodes, and the bounds of "unchanged".

Bounds by default are the parameters of `cds.vocabulary.core` (common practice).
"""

from __future__ import annotations

import calendar
from datetime import date
from enum import Enum
from itertools import pairwise

from cds.vocabulary.case import Answer, Case
from cds.vocabulary.model import Finding, GoodFor
from cds.vocabulary.values import Amount, Choice, Input, NotApplicable
from cds.vocabulary.vocabulary import Vocabulary

EPISODE_MONTHS = 12
"""A negative that is good for the episode is good for at most this long (common practice)."""


class Worry(Enum):
    """Whether a value is adverse."""

    YES = "yes"
    PERHAPS = "perhaps"
    NO = "no"


def worry(finding: Finding, value: Input | None) -> Worry:
    """Whether a value (None: unknown) is adverse. A number without a limit is perhaps adverse."""
    if isinstance(value, NotApplicable):
        return Worry.NO
    if isinstance(value, Amount) and finding.positive_from is not None:
        return _beyond(finding, finding.steps(finding.positive_from) or 0, value)
    if not isinstance(value, Choice):
        return Worry.PERHAPS
    inside = [word in finding.adverse for word in value.options]
    if all(inside):
        return Worry.YES
    return Worry.PERHAPS if any(inside) else Worry.NO


def _beyond(finding: Finding, limit: int, value: Amount) -> Worry:
    """Whether a number is as bad as the limit (in steps), in the direction that is adverse."""
    low, high = value.low, value.high
    if finding.adverse == ("down",):
        surely, never = high is not None and high <= limit, low is not None and low > limit
    else:
        surely, never = low is not None and low >= limit, high is not None and high < limit
    return Worry.YES if surely else Worry.NO if never else Worry.PERHAPS


def adverse(finding: Finding, answer: Answer) -> bool:
    """Whether an answer is a positive: surely an adverse word, or a number beyond its limit."""
    return answer.value is not None and worry(finding, answer.value) is Worry.YES


def months_after(day: date, months: int) -> date:
    """The same day of a later month, or that month's last day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > date.max.year:
        return date.max
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


class Freshness:
    """Periods against one case's as-of date and course."""

    def __init__(self, vocab: Vocabulary, case: Case) -> None:
        self.as_of = case.as_of
        self.course = None if case.course is None else [session.on for session in case.course]
        self.parameters = vocab.parameters

    def within(self, period: GoodFor, day: date) -> bool:
        """Whether an answer true of `day` is in date under `period` alone (not its `with`)."""
        if period.this_session:
            return day == self.as_of
        if period.days is not None:
            return (self.as_of - day).days <= period.days
        if period.months is not None:
            return self.as_of <= months_after(day, period.months)
        if period.episode:
            return self._in_episode(day) and self.as_of <= months_after(day, EPISODE_MONTHS)
        return True

    def _in_episode(self, day: date) -> bool:
        """On or after the first session. Without a course only today is surely in the episode."""
        first = self.course[0] if self.course else self.as_of
        return day >= first

    def unchanged(self, answer: Answer) -> str | None:
        """Why a confirmation does not renew an answer, or None. Common practice throughout."""
        if answer.confirmations > self.parameters["unchanged_confirmations"]:
            return "unchanged_too_often"
        if (self.as_of - answer.observed).days > self.parameters["unchanged_days"]:
            return "unchanged_too_long"
        if not self._in_episode(answer.observed):
            return "unchanged_gap"
        days = [day for day in self.course or () if day > answer.observed]
        stops = [answer.observed, *days, self.as_of]
        gap = max((then - first).days for first, then in pairwise(stops))
        return "unchanged_gap" if gap > self.parameters["gap_days"] else None
