"""How consent stands today, by family and by level.

A consent to `hands_on` covers muscle energy and mobilization, never thrust. A thrust needs its own,
dated today, with risks and an alternative given. A consent counts at the levels of its region; what
is said of the case is what holds at the listed level that it suits best, and each other level says
for itself that consent was given elsewhere. Who needed an interpreter and had none was not
informed. Capacity that is not recorded is presumed, as the
law presumes it of adults (from memory); risks not recorded are taken as given with a hands-on
consent (common practice), never with one for thrust.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from cds.features.record import Features, Record, put
from cds.features.uncertain import Words, choice
from cds.vocabulary.case import Consent
from cds.vocabulary.computed import CONSENT
from cds.vocabulary.model import at_level
from cds.vocabulary.regions import CONSENTED, LUMBAR

CAREFUL = ("no_capacity", "withdrawn", "missing", "given")
"""Most careful first."""

YES_NO = ("no", "yes")

COVERED = ("muscle_energy", "mobilization")
"""Families that a consent to `hands_on` covers."""


def consent_features(record: Record) -> Features:
    """`consent_hands_on`, `consent_muscle_energy`, `consent_mobilization`, `consent_thrust`, and
    for each level `segment.outside_consent_*`.

    Unknown where consents were not sent; `missing` where they were and none fits.
    """
    case = record.case
    if not case.consents and not case.consents_sent:
        return {}
    dated = [consent for consent in case.consents if consent.on <= case.as_of]
    levels = [segment.level for segment in case.segments or ()]
    covering: dict[str, list[Consent]] = {
        level: [c for c in dated if level in CONSENTED.get(c.region, ())] for level in levels
    }
    low_back = [c for c in dated if c.region == LUMBAR]
    found: Features = {}
    each: dict[str, Words] = {}
    for family in (*COVERED, "thrust"):
        here = {level: _family(family, covering[level], record) for level in levels}
        each[family] = _least_careful(here.values()) if here else _family(family, low_back, record)
        put(found, f"consent_{family}", choice(each[family], CONSENT))
        for level, words in here.items():
            name = at_level(f"segment.outside_consent_{family}", level)
            put(found, name, choice(_outside(words, each[family]), YES_NO))
    hands_on = _most_careful(each[family] for family in COVERED)
    put(found, "consent_hands_on", choice(hands_on, CONSENT))
    return found


def _family(family: str, here: list[Consent], record: Record) -> Words:
    """How consent to one family stands, going by these consents."""
    if family == "thrust":
        return _thrust(here, record)
    return _standing(here, (family, "hands_on"), record)


def _outside(here: Words, case: Words) -> Words:
    """Whether consent that stands for the case is none at a level: no, yes, or open."""
    if here == case or "given" not in case:
        return ("no",)
    return ("no", "yes") if "given" in here else ("yes",)


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
    if consent.interpreter == "needed_not_had":
        return ("missing",)
    if "no" in informed:
        return ("missing",)
    if consent.family == "thrust" and None in informed:
        return ("missing", "given")
    return ("given",)


def _most_careful(states: Iterable[Words]) -> Words:
    """The most careful of several, over everything each could be; most careful word first."""
    return _of_several(states, min)


def _least_careful(states: Iterable[Words]) -> Words:
    """The least careful of several, over everything each could be; most careful word first."""
    return _of_several(states, max)


def _of_several(states: Iterable[Words], end: Callable[[Iterable[int]], int]) -> Words:
    listed = [tuple(CAREFUL.index(word) for word in words) for words in states]
    low = end([min(places) for places in listed])
    high = end([max(places) for places in listed])
    could = {place for places in listed for place in places if low <= place <= high}
    return tuple(CAREFUL[place] for place in sorted(could))
