"""What was reached at each level in the earlier sessions of this episode."""

from __future__ import annotations

from cds.features.record import Features, Record, put
from cds.features.uncertain import choice
from cds.vocabulary.model import at_level
from cds.vocabulary.values import NOT_APPLICABLE

NAME = "segment.reached_rung"


def level_features(record: Record) -> Features:
    """`segment.reached_rung` of every listed level: the highest rung given there in any session.

    The lowest rung where the level was never treated. Does not apply in a first session, is unknown
    where the course was not sent, and may be higher where a session does not say what was given.
    """
    found: Features = {}
    course = record.case.course
    if course is None:
        return found
    for segment in record.case.segments or ():
        name = at_level(NAME, segment.level)
        if not course:
            found[name] = NOT_APPLICABLE
            continue
        given = [
            step.rung
            for session in course
            for step in session.given or ()
            if step.level == segment.level and step.rung in record.rungs
        ]
        least = max(map(record.rung_index, given), default=0)
        unsaid = any(session.given is None for session in course)
        put(found, name, choice(record.rungs[least:] if unsaid else (record.rungs[least],),
                                record.rungs))  # fmt: skip
    return found
