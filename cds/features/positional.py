"""The label of every listed level, from below upward, with stacked and grouped neighbours.

Fryette's types are used as a way of naming, not as biomechanical truth. A *group* is a run of
neighbouring listed levels, prominent on one side in neutral, of the declared size (`group_size`);
its neutral rows take the pattern `group`. At most one level of a run may be non-neutral: it counts,
keeps its own pattern, and is treated first (common practice). A level whose neutral side conflicts
with its own label does not count. *Stacked*: neighbouring levels that share one non-neutral label.
A level that is not listed breaks a run. Confidence in any of it is never high: agreement between
raters is poor.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.features.motion import Possible, motion_features, sagittal_words
from cds.features.record import Features, Record, put
from cds.features.table import GRADE_TIE, GROUP_IF_LARGE, Row, Table, conflicts, label
from cds.features.uncertain import YES_NO, choice, some, truth
from cds.vocabulary.case import Segment
from cds.vocabulary.computed import PATTERNS, SIDE_WORDS
from cds.vocabulary.model import LEVELS, SIDES, at_level
from cds.vocabulary.values import Choice, Tri

Rows = dict[str, tuple[Row, ...]]
"""Level -> rows it could be, from below upward."""


def positional_features(record: Record, rows: Iterable[Row]) -> Features:
    """`segment.*` of every listed level, grounded on it; nothing for the nameless level.

    A level that could fall on a row the table lacks has its level and nothing else.
    """
    found: Features = {}
    table = Table(rows, record.parameters.get("grade_tie", GRADE_TIE))
    listed = {segment.level: segment for segment in record.case.segments or ()}
    possible_rows = candidates(table, listed)
    size = record.parameter("group_size")
    for level in possible_rows:
        features: Features = {"segment.level": Choice((level,))}
        states = states_of(level, possible_rows, size)
        if states:
            features.update(_labels(states))
            put(features, "segment.stacked", truth(_stacked(level, possible_rows)))
            features.update(motion_features(record, states, sagittal_words(record, level)))
        found.update({at_level(name, level): value for name, value in features.items()})
    return found


def candidates(table: Table, listed: dict[str, Segment]) -> Rows:
    """Rows each listed level could be, from below upward."""
    return {level: table.candidates(listed[level]) for level in reversed(LEVELS) if level in listed}


def states_of(level: str, rows: Rows, size: int) -> Possible:
    """Each row the level could be, with whether it is then part of a group (both where open)."""
    states: list[tuple[Row, bool]] = []
    for row in rows[level]:
        if row.pattern != GROUP_IF_LARGE:
            states.append((row, False))
            continue
        if _run(level, row, rows, size, certain=False):
            states.append((row, True))
        if not _run(level, row, rows, size, certain=True):
            states.append((row, False))
    return tuple(states)


def _run(level: str, row: Row, rows: Rows, size: int, *, certain: bool) -> bool:
    """Whether a level of this row stands in a large enough run, surely or possibly."""
    quantity = all if certain else any
    length = neutral = 1
    for step in (1, -1):
        place = LEVELS.index(level) + step
        while 0 <= place < len(LEVELS):
            options = rows.get(LEVELS[place])
            if options is None:
                break
            if not options:  # nothing known: it may belong, never surely
                if certain:
                    break
                belongs = plain = True
            else:
                belongs = quantity(_counts(other, row) for other in options)
                plain = quantity(other.pattern == GROUP_IF_LARGE for other in options)
            if not belongs:
                break
            length += 1
            neutral += plain
            place += step
    return length >= size and neutral >= size - 1


def _counts(other: Row, row: Row) -> bool:
    return other.neutral == row.neutral and not conflicts(other)


def _labels(states: Possible) -> Features:
    found: Features = {}
    put(found, "segment.pattern", choice({_pattern(row, g) for row, g in states}, PATTERNS))
    for kind in ("flexed", "extended"):
        sides = {_side(row, kind) for row, _ in states}
        put(found, f"segment.{kind}_side", choice(sides, SIDE_WORDS))
    group = {(row.prominent_side or "none") if grouped else "none" for row, grouped in states}
    put(found, "segment.group_side", choice(group, SIDE_WORDS))
    again = {"yes" if conflicts(row) else "no" for row, _ in states}
    put(found, "segment.palpation_conflict", choice(again, YES_NO))
    return found


def _pattern(row: Row, grouped: bool) -> str:
    if row.pattern == GROUP_IF_LARGE:
        return "group" if grouped else "indeterminate"
    return row.pattern


def _side(row: Row, kind: str) -> str:
    """The side of a label; an indeterminate row has none, whatever the table notes beside it."""
    found = label(row)
    side = "none" if found is None else found[1 if kind == "flexed" else 2]
    return side if side in SIDES else "none"


def _stacked(level: str, rows: Rows) -> Tri:
    """Whether a listed neighbour surely has the same non-neutral label."""
    own = {label(row) for row in rows[level]}
    place = LEVELS.index(level)
    answers = []
    for other in (place - 1, place + 1):
        options = rows.get(LEVELS[other]) if 0 <= other < len(LEVELS) else None
        if options is None:
            continue
        theirs = {label(row) for row in options}
        if not theirs:
            answers.append(Tri.UNKNOWN if own != {None} else Tri.FALSE)
        elif not (own & theirs) - {None}:
            answers.append(Tri.FALSE)
        else:
            answers.append(Tri.TRUE if len(own) == len(theirs) == 1 else Tri.UNKNOWN)
    return some(*answers)
