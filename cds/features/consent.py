"""How consent stands today, by family.

A consent to `hands_on` covers muscle energy and mobilization, never thrust. A thrust needs its own,
dated today, with risks and an alternative given. Capacity that is not recorded is presumed, as the
law presumes it of adults (from memory); risks not recorded are taken as given with a hands-on
consent (common practice), never with one for thrust.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.features.record import Features, Record, put
from cds.features.uncertain import Words, choice
from cds.vocabulary.case import Consent
from cds.vocabulary.computed import CONSENT

REGION = "lumbar"
"""The region this book treats. A consent for another region is none here."""

CAREFUL = ("no_capacity", "withdrawn", "missing", "given")
"""Most careful first."""

COVERED = ("muscle_energy", "mobilization")
"""Families that a consent to `hands_on` covers."""


def consent_features(record: Record) -> Features:
    """`consent_hands_on`, `consent_muscle_energy`, `consent_mobilization`, `consent_thrust`.

    Unknown where consents were not sent; `missing` where they were and none fits.
    """
    case = record.case
    if not case.consents and not case.consents_sent:
        return {}
    here = [
        consent
        for consent in case.consents
        if consent.region == REGION and consent.on <= case.as_of
    ]
    found: Features = {}
    each = {family: _standing(here, (family, "hands_on"), record) for family in COVERED}
    for family, words in each.items():
        put(found, f"consent_{family}", choice(words, CONSENT))
    put(found, "consent_hands_on", choice(_most_careful(each.values()), CONSENT))
    put(found, "consent_thrust", choice(_thrust(here, record), CONSENT))
    return found


def _standing(consents: list[Consent], families: Words, record: Record) -> Words:
    """The latest consent decides; of several on one day the most careful."""
    fitting = [consent for consent in consents if consent.family in families]
    if not fitting:
        return ("missing",)
    latest = max(consent.on for consent in fitting)
    return _most_careful(_state(c, record) for c in fitting if c.on == latest)


def _thrust(consents: list[Consent], record: Record) -> Words:
    """Today's consent to thrust; withdrawing all hands-on care since withdraws it too."""
    own = _standing(consents, ("thrust",), record)
    if own == ("missing",):
        return own
    fitting = [consent for consent in consents if consent.family == "thrust"]
    latest = max(consent.on for consent in fitting)
    general = [c for c in consents if c.family == "hands_on"]
    if any(c.capacity == "no" and c.on >= latest for c in general):
        return ("no_capacity",)
    if any(c.withdrawn and latest <= c.withdrawn <= record.case.as_of for c in general):
        return _most_careful((own, ("withdrawn",)))
    if own[-1] == "given" and latest != record.case.as_of:
        return ("missing",)
    return own


def _state(consent: Consent, record: Record) -> Words:
    """What one consent amounts to; two words where that depends on what was not recorded."""
    if consent.capacity == "no":
        return ("no_capacity",)
    if consent.withdrawn is not None and consent.withdrawn <= record.case.as_of:
        return ("withdrawn",)
    informed = (consent.risks_given, consent.alternative_given)
    if "no" in informed:
        return ("missing",)
    if consent.family == "thrust" and None in informed:
        return ("missing", "given")
    return ("given",)


def _most_careful(states: Iterable[Words]) -> Words:
    """The most careful of several, over everything each could be; most careful word first."""
    listed = [tuple(CAREFUL.index(word) for word in words) for words in states]
    low = min(min(places) for places in listed)
    high = min(max(places) for places in listed)
    could = {place for places in listed for place in places if low <= place <= high}
    return tuple(CAREFUL[place] for place in sorted(could))
