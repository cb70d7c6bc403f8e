"""What may be entered of the record where a question is about no finding: consent, a session.

An open feature whose findings are all recorded waits for a part of the record. Which entries of
that part bear on it is found by making them, and looking at the feature: never from a list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from cds.vocabulary.case import Case
from cds.vocabulary.model import LEVELS, NAMELESS
from cds.vocabulary.reading_parts import (
    PAIN,
    POSITIONS,
    PROMINENT,
    SESSION_WORDS,
    SEX,
    STEP_WORDS,
    YES_NO,
)
from cds.vocabulary.values import Input
from cds.vocabulary.vocabulary import Vocabulary
from cds.whatif.replies import AND_THRUST, HANDS_ON, NONE, NOT_GIVEN, Entry

Probe = Callable[[tuple[Entry, ...]], Input | None]
"""The feature's value with some entries made; None is unknown."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the record that is empty, and every entry it may have. `title` for people."""

    part: str
    key: str
    title: str
    entries: tuple[Entry, ...]


_TITLES: Mapping[str, str] = {
    "sex": "Sex", "consents": "Consent, had today", "referrals": "Earlier referrals",
    "guarding_before": "guarding before it", "guarding_after": "guarding after it",
    "settled": "how it settled", "adverse": "adverse response",
    "medicine_before": "medicine before it", "comparable_sign": "comparable sign after it",
    "spread": "spread of pain", "stop_sign": "stop sign", "worsened_at": "where it worsened",
    "pain_before": "pain before it", "pain_after": "pain after it", "guarding": "guarding",
    "new_sign": "new sign of the nerves", "set_up": "set-up", "pain": "pain",
}  # fmt: skip


def places(vocab: Vocabulary, case: Case, part: str, ages: tuple[int, ...] = ()) -> list[Place]:
    """The empty places of one part of the case that can be filled without inventing a history.

    `ages` are those worth trying where the age is not recorded.
    """
    if part == "patient":
        return _patient(case, ages)
    return {
        "clinician": _clinician,
        "consents": _consents,
        "referrals": _referrals,
        "course": _course,
        "today": _today,
        "segments": _segments,
    }.get(part, _nothing)(vocab, case)


def bearing(found: list[Place], probe: Probe) -> list[Place]:
    """Those of the places on which the feature depends.

    An entry bears on it when it alone makes another value of it, or when the feature is known with
    all places filled and is not, or is another, with this one left empty.
    """
    if len(found) <= 1:
        return [place for place in found if _alone(place, probe)]
    now = probe(())
    kept: list[Place] = []
    for place in found:
        others = tuple(other.entries[0] for other in found if other is not place)
        without = probe(others)
        if any(probe((*others, entry)) != without for entry in place.entries) or any(
            probe((entry,)) != now for entry in place.entries
        ):
            kept.append(place)
    return kept


def _alone(place: Place, probe: Probe) -> bool:
    now = probe(())
    return any(probe((entry,)) != now for entry in place.entries)


# ---------------------------------------------------------------- the parts
def _place(part: str, key: str, values: tuple[object, ...], title: str = "") -> Place:
    entries = tuple(Entry(part, key, value) for value in values)
    return Place(part, key, title or _TITLES.get(key, key.replace("_", " ")), entries)


def _nothing(vocab: Vocabulary, case: Case) -> list[Place]:
    return []


def _patient(case: Case, ages: tuple[int, ...]) -> list[Place]:
    found = []
    if case.age_low is None or case.age_low != case.age_high:
        found.append(_place("patient", "age", ages, "Age"))
    if case.sex is None:
        found.append(_place("patient", "sex", SEX))
    return found


def _clinician(vocab: Vocabulary, case: Case) -> list[Place]:
    return [
        _place("clinician", family, YES_NO, f"Trained in {vocab.ladder.family(family).title}")
        for family in vocab.hands_on
        if family not in case.training
    ]


def _consents(vocab: Vocabulary, case: Case) -> list[Place]:
    return [_place("consents", "today", (HANDS_ON, AND_THRUST, NOT_GIVEN), _TITLES["consents"])]


def _referrals(vocab: Vocabulary, case: Case) -> list[Place]:
    if case.referrals_sent or case.referrals:
        return []
    return [_place("referrals", "all", (NONE,), _TITLES["referrals"])]


def _course(vocab: Vocabulary, case: Case) -> list[Place]:
    if case.course is None:
        return [_place("course", "all", (NONE,), "Earlier sessions of this episode")]
    if not case.course:
        return []
    last = case.course[-1]
    words: dict[str, tuple[object, ...]] = {
        **SESSION_WORDS,
        "pain_before": tuple(range(PAIN[0], PAIN[1] + 1)),
        "pain_after": tuple(range(PAIN[0], PAIN[1] + 1)),
        "worsened_at": ("none", *vocab.rungs),
    }
    return [
        _place("course", key, values, f"Last session: {_TITLES[key]}")
        for key, values in words.items()
        if getattr(last, key) is None
    ]


def _today(vocab: Vocabulary, case: Case) -> list[Place]:
    if case.moment not in ("during_session", "after_session"):
        return []
    if case.steps is None:
        return [_place("today", "all", (NONE,), "Steps done in this session")]
    if not case.steps:
        return []
    words: dict[str, tuple[object, ...]] = {
        **STEP_WORDS, "pain": tuple(range(PAIN[0], PAIN[1] + 1)),
    }  # fmt: skip
    return [
        _place("today", key, values, f"Last step of today: {_TITLES[key]}")
        for key, values in words.items()
        if getattr(case.steps[-1], key) is None
    ]


def _segments(vocab: Vocabulary, case: Case) -> list[Place]:
    return [
        _place(
            "segments",
            f"{segment.level}.{position}",
            PROMINENT,
            f"{segment.level}: prominent side in {position}",
        )
        for segment in case.segments or ()
        for position in POSITIONS
        if segment.level in LEVELS
        and segment.level != NAMELESS
        and getattr(segment, position) is None
    ]
