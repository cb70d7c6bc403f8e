"""Referrals already made: is an urgent one still open, since when, was one refused.

A lost referral is as open as one without an outcome: nobody has looked. Either ends when a later
one to the same destination was seen. A refusal ends the waiting, not the concern, so it has its own
feature. Common practice.
"""

from __future__ import annotations

from cds.features.record import Features, Record
from cds.vocabulary.case import ReferralRecord
from cds.vocabulary.model import URGENCIES
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice

URGENT = URGENCIES[URGENCIES.index("urgent") :]
SEEN = ("seen_nothing_serious", "seen_treated")


def referral_features(record: Record) -> Features:
    """`urgent_referral_pending`, `urgent_referral_days` (since the oldest; does not apply when none
    is pending), `referral_refused`, `urgent_referral_refused`. Unknown where referrals were not
    sent.
    """
    case = record.case
    if not case.referrals and not case.referrals_sent:
        return {}
    made = [referral for referral in case.referrals if referral.on <= case.as_of]
    left = [referral for referral in made if not _answered(referral, made)]
    pending = [r for r in left if r.urgency in URGENT and r.outcome in (None, "lost")]
    refused = any(referral.outcome == "refused" for referral in left)
    refused_urgent = any(r.outcome == "refused" and r.urgency in URGENT for r in left)
    found: Features = {
        "urgent_referral_refused": Choice(("yes",) if refused_urgent else ("no",)),
        "urgent_referral_pending": Choice(("yes",) if pending else ("no",)),
        "urgent_referral_days": NOT_APPLICABLE,
        "referral_refused": Choice(("yes",) if refused else ("no",)),
    }
    if pending:
        days = max(record.days_since(referral.on) for referral in pending)
        found["urgent_referral_days"] = Amount(days, days)
    return found


def _answered(referral: ReferralRecord, made: list[ReferralRecord]) -> bool:
    """Whether it was seen, or a later one to the same destination was."""
    return any(
        other.outcome in SEEN and other.to == referral.to and other.on >= referral.on
        for other in made
    )
