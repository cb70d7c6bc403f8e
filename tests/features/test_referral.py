"""Referrals already made."""

from __future__ import annotations

from datetime import timedelta

import pytest

from cds.features.referral import referral_features
from cds.vocabulary.case import ReferralRecord
from tests.features.cases import AS_OF, a_record, plain


def made(
    urgency: str = "urgent", days_ago: int = 21, outcome: str | None = None, to: str = "gp"
) -> ReferralRecord:
    return ReferralRecord(to, urgency, AS_OF - timedelta(days=days_ago), outcome)


def found(*referrals: ReferralRecord, sent: bool = True) -> tuple[object, ...]:
    values = referral_features(a_record(referrals=referrals, referrals_sent=sent))
    names = ("urgent_referral_pending", "urgent_referral_days", "referral_refused")
    return tuple(plain(values.get(name)) for name in names)


def test_not_sent_is_unknown_and_none_is_none() -> None:
    assert found(sent=False) == ("unknown", "unknown", "unknown")
    assert found() == ("no", "n/a", "no")


@pytest.mark.parametrize("urgency", ["urgent", "same_day", "emergency"])
def test_an_urgent_one_without_outcome_is_pending(urgency: str) -> None:
    assert found(made(urgency)) == ("yes", 21, "no")


def test_routine_is_not_urgent() -> None:
    assert found(made("routine")) == ("no", "n/a", "no")


def test_a_lost_one_is_as_open_as_before() -> None:
    assert found(made(outcome="lost")) == ("yes", 21, "no")


@pytest.mark.parametrize("outcome", ["seen_nothing_serious", "seen_treated"])
def test_seen_ends_it(outcome: str) -> None:
    assert found(made(outcome=outcome)) == ("no", "n/a", "no")


def test_a_later_one_that_was_seen_ends_an_earlier_one_of_the_same_place() -> None:
    seen = made(days_ago=3, outcome="seen_treated")
    assert found(made(outcome="lost"), seen) == ("no", "n/a", "no")
    assert found(made(outcome="refused"), seen) == ("no", "n/a", "no")
    assert found(made(to="spinal_service"), seen) == ("yes", 21, "no")
    assert found(made(days_ago=2), seen) == ("yes", 2, "no")


def test_a_refusal_is_said_and_no_longer_awaited() -> None:
    assert found(made(outcome="refused")) == ("no", "n/a", "yes")
    assert found(made("routine", outcome="refused")) == ("no", "n/a", "yes")


def test_days_are_those_of_the_oldest_pending() -> None:
    assert found(made(days_ago=4), made(days_ago=9), made("routine", 30)) == ("yes", 9, "no")
    assert found(made(days_ago=0)) == ("yes", 0, "no")


def test_a_referral_of_a_later_day_does_not_count_yet() -> None:
    assert found(made(days_ago=-1)) == ("no", "n/a", "no")
