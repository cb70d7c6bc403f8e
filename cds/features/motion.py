"""What a label says of movement: restricted motions, the facet that fails, active motion.

The restricted motions are the diagonal opposite of the label. They are inferred from position, not
tested: position is palpated with poor agreement between raters, so the movement the patient shows
is asked beside it. A book that wants `segment.motion_agrees` declares the findings `active_flexion`
and `active_extension` (`limited`, or their adverse words), `active_side_bending` and
`active_rotation` (`none`, `left`, `right`, `both`: the limited side).
"""

from __future__ import annotations

from cds.features.record import Features, Record, put
from cds.features.table import GROUP_IF_LARGE, Row
from cds.features.uncertain import YES_NO, among, choice, every, truth
from cds.vocabulary.computed import BOTH_SIDES, SIDE_WORDS
from cds.vocabulary.model import SIDES
from cds.vocabulary.values import NOT_APPLICABLE, Tri

SIDED = ("side_bending", "rotation")
SAGITTAL = ("flexion", "extension")
LIMITED = "limited"

Possible = tuple[tuple[Row, bool], ...]
"""Rows a level could be, each with whether it is part of a group."""


def motion_features(record: Record, states: Possible) -> Features:
    """Restricted motions, facets and agreement of one level, without the level in the names."""
    found: Features = {}
    motions = [restricted(row, grouped) for row, grouped in states]
    for motion in SAGITTAL:
        could = {word for known in motions for word in _yes_no(known, motion)}
        put(found, f"segment.restricted_{motion}", choice(could, YES_NO))
    for motion in SIDED:
        could = {word for known in motions for word in _sides(known, motion)}
        put(found, f"segment.restricted_{motion}", choice(could, BOTH_SIDES))
    could = {word for known in motions for word in (YES_NO if known is None else _any(known))}
    put(found, "segment.restricted", choice(could, YES_NO))
    for name, place in (("open", 0), ("close", 1)):
        could = {side for row, grouped in states for side in facets(row, grouped)[place]}
        put(found, f"segment.facet_cannot_{name}", choice(could, SIDE_WORDS))
    if all(row.pattern == "none" for row, _ in states):
        found["segment.motion_agrees"] = NOT_APPLICABLE
    elif all(row.pattern != "none" for row, _ in states):
        agreed = {_agrees(record, known) for known in motions}
        put(
            found, "segment.motion_agrees", truth(agreed.pop() if len(agreed) == 1 else Tri.UNKNOWN)
        )
    return found


def restricted(row: Row, grouped: bool) -> frozenset[str] | None:
    """Restricted motions; None where the label does not say.

    A neutral row outside a group may be a level built unevenly, so nothing follows from it. A level
    that is even in all positions may still be restricted on both sides: flexion and extension stay
    open (`flexion?`, `extension?`).
    """
    if row.pattern == GROUP_IF_LARGE and not grouped:
        return None
    if row.pattern == "none":
        return frozenset(f"{motion}?" for motion in SAGITTAL)
    return frozenset(row.restricted)


def facets(row: Row, grouped: bool) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Possible sides of the facet that cannot open, and of the one that cannot close.

    A facet that cannot open lies on the side of the extended label, one that cannot close opposite
    the flexed label. A row without a label that restricts one rotation is read the same way.
    """
    if row.pattern == "none":
        return SIDE_WORDS, SIDE_WORDS  # both facets may fail, which position does not show
    if row.pattern == GROUP_IF_LARGE:
        return (("none",), ("none",)) if grouped else (SIDE_WORDS, SIDE_WORDS)
    turned = [side for side in SIDES if f"rotation_{side}" in row.restricted]
    one = turned[0] if len(turned) == 1 else None
    cannot_open = row.extended_side or (_other(one) if "flexion" in row.restricted else None)
    cannot_close = _other(row.flexed_side) or (one if "extension" in row.restricted else None)
    return (cannot_open or "none",), (cannot_close or "none",)


def _other(side: str | None) -> str | None:
    return {"left": "right", "right": "left"}.get(side or "")


def _yes_no(known: frozenset[str] | None, motion: str) -> tuple[str, ...]:
    if known is None or f"{motion}?" in known:
        return YES_NO
    return ("yes",) if motion in known else ("no",)


def _sides(known: frozenset[str] | None, motion: str) -> tuple[str, ...]:
    if known is None:
        return BOTH_SIDES
    sides = [side for side in SIDES if f"{motion}_{side}" in known]
    return ("both",) if len(sides) == 2 else (sides[0],) if sides else ("none",)


def _any(known: frozenset[str]) -> tuple[str, ...]:
    if any(not motion.endswith("?") for motion in known):
        return ("yes",)
    return YES_NO if known else ("no",)


def _agrees(record: Record, known: frozenset[str] | None) -> Tri:
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
