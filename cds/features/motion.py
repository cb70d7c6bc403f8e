"""What a label says of movement: restricted motions, the facet that fails, active motion.

The restricted motions are the diagonal opposite of the label. They are inferred from position, not
tested: position is palpated with poor agreement between raters, so the movement the patient shows
is asked beside it. A book that wants `segment.motion_agrees` declares the findings `active_flexion`
and `active_extension` (`limited`, or their adverse words), `active_side_bending` and
`active_rotation` (`none`, `left`, `right`, `both`: the limited side).
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.features.record import Features, Record, put
from cds.features.table import GROUP_IF_LARGE, Row
from cds.features.uncertain import YES_NO, Words, among, choice, every, truth
from cds.vocabulary.computed import BILATERAL, BOTH_SIDES
from cds.vocabulary.model import SIDES, at_level
from cds.vocabulary.values import NOT_APPLICABLE, Tri

SIDED = ("side_bending", "rotation")
SAGITTAL = ("flexion", "extension")
LIMITED = "limited"

TESTED = "segment.sagittal_motion"
"""The finding that tells a level restricted on both sides: which of flexion and extension is."""

_TESTED_WORDS = {"neither": (), "flexion": ("flexion",), "extension": ("extension",),
                 "both": SAGITTAL}  # fmt: skip
_BILATERAL = {"flexion": "extended", "extension": "flexed"}

Known = frozenset[str] | None
"""Restricted motions of one possibility; None where the label does not say."""

Possible = tuple[tuple[Row, bool], ...]
"""Rows a level could be, each with whether it is part of a group."""


def sagittal_words(record: Record, level: str) -> Words:
    """What the test of flexion and extension at the level could have shown.

    `neither` where the book does not ask it or the question does not apply; every word where it is
    not recorded.
    """
    value = record.standing.get(at_level(TESTED, level))
    if TESTED not in record.findings or value is NOT_APPLICABLE:
        return ("neither",)
    words = record.words(at_level(TESTED, level))
    return tuple(word for word in words or _TESTED_WORDS if word in _TESTED_WORDS)


def motion_features(
    record: Record, states: Possible, tested: Words = tuple(_TESTED_WORDS)
) -> Features:
    """Restricted motions, facets and agreement of one level, without the level in the names."""
    found: Features = {}
    cases = list(_cases(states, tested))
    motions = [known for _, _, known in cases]
    for motion in SAGITTAL:
        could = {word for known in motions for word in _yes_no(known, motion)}
        put(found, f"segment.restricted_{motion}", choice(could, YES_NO))
    for motion in SIDED:
        could = {word for known in motions for word in _sides(known, motion)}
        put(found, f"segment.restricted_{motion}", choice(could, BOTH_SIDES))
    could = {word for known in motions for word in (YES_NO if known is None else _any(known))}
    put(found, "segment.restricted", choice(could, YES_NO))
    for name, place in (("open", 0), ("close", 1)):
        could = {side for row, grouped, known in cases
                 for side in facets(row, grouped, known)[place]}  # fmt: skip
        put(found, f"segment.facet_cannot_{name}", choice(could, BOTH_SIDES))
    could = {_bilateral(row, known) for row, _, known in cases}
    put(found, "segment.bilateral", choice(could, BILATERAL))
    if all(known is not None and not known for known in motions):
        found["segment.motion_agrees"] = NOT_APPLICABLE
    elif all(known is None or known for known in motions):
        agreed = {_agrees(record, known) for known in motions}
        put(
            found, "segment.motion_agrees", truth(agreed.pop() if len(agreed) == 1 else Tri.UNKNOWN)
        )
    return found


def _cases(states: Possible, tested: Words) -> Iterator[tuple[Row, bool, Known]]:
    """Each possibility with its restricted motions; an even level once per word of its test."""
    for row, grouped in states:
        if row.pattern != "none":
            yield row, grouped, restricted(row, grouped)
            continue
        for word in tested:
            yield row, grouped, frozenset(_TESTED_WORDS[word])


def _bilateral(row: Row, known: Known) -> str:
    """One restricted direction names it; both leave the level without a direction of its own."""
    if row.pattern != "none" or known is None or len(known) != 1:
        return "none"
    return _BILATERAL[next(iter(known))]


def restricted(row: Row, grouped: bool) -> Known:
    """Restricted motions; None where the label does not say.

    A neutral row outside a group may be a level built unevenly, so nothing follows from it. Nor
    does anything from a level that is even in all positions: both its sides may be restricted,
    which only its own test of flexion and extension tells.
    """
    if row.pattern == "none" or (row.pattern == GROUP_IF_LARGE and not grouped):
        return None
    return frozenset(row.restricted)


def facets(row: Row, grouped: bool, known: Known = None) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Possible sides of the facet that cannot open, and of the one that cannot close.

    A facet that cannot open lies on the side of the extended label, one that cannot close opposite
    the flexed label. A row without a label that restricts one rotation is read the same way. An
    even level fails on both sides or on none, as its own test (`known`) says.
    """
    if row.pattern == "none":
        if known is None:
            return ("none", "both"), ("none", "both")
        return (
            ("both" if "flexion" in known else "none",),
            ("both" if "extension" in known else "none",),
        )
    if row.pattern == GROUP_IF_LARGE:
        return (("none",), ("none",)) if grouped else (BOTH_SIDES, BOTH_SIDES)
    turned = [side for side in SIDES if f"rotation_{side}" in row.restricted]
    one = turned[0] if len(turned) == 1 else None
    cannot_open = row.extended_side or (_other(one) if "flexion" in row.restricted else None)
    cannot_close = _other(row.flexed_side) or (one if "extension" in row.restricted else None)
    return (cannot_open or "none",), (cannot_close or "none",)


def _other(side: str | None) -> str | None:
    return {"left": "right", "right": "left"}.get(side or "")


def _yes_no(known: Known, motion: str) -> tuple[str, ...]:
    if known is None:
        return YES_NO
    return ("yes",) if motion in known else ("no",)


def _sides(known: Known, motion: str) -> tuple[str, ...]:
    if known is None:
        return BOTH_SIDES
    sides = [side for side in SIDES if f"{motion}_{side}" in known]
    return ("both",) if len(sides) == 2 else (sides[0],) if sides else ("none",)


def _any(known: frozenset[str]) -> tuple[str, ...]:
    return ("yes",) if known else ("no",)


def _agrees(record: Record, known: Known) -> Tri:
    """TRUE when the patient lacks every restricted motion, FALSE when one of them is free."""
    if not known:
        return Tri.UNKNOWN
    return every(*(_limited(record, motion) for motion in sorted(known)))


def _limited(record: Record, motion: str) -> Tri:
    for sided in SIDED:
        if motion.startswith(sided):
            words = record.words(f"active_{sided}")
            side = motion.removeprefix(f"{sided}_")
            return Tri.UNKNOWN if words is None else among(words, (side, "both"))
    name = f"active_{motion}"
    words = record.words(name)
    finding = record.findings.get(name)
    if words is None or finding is None:
        return Tri.UNKNOWN
    limited = finding.adverse or tuple({LIMITED} & set(finding.values))
    return among(words, limited) if limited else Tri.UNKNOWN
