"""Whether the neurological examination was done today, by hand, all of it."""

from __future__ import annotations

from datetime import date

from cds.features.record import Features, Record, put
from cds.features.uncertain import every, truth
from cds.vocabulary.case import Answer
from cds.vocabulary.values import Tri

NEUROLOGICAL = ("power", "reflexes", "sensation")
"""The three parts; one alone is no neurological examination (common practice)."""


def examination_features(record: Record) -> Features:
    """`neuro_exam_today`.

    `yes`: each part has a value that was examined and observed on the as-of date. `no`: a part has
    a value, but an older one, or one that was only asked, read in a record or confirmed. Unknown:
    a part has no value at all.
    """
    case = record.case
    parts = [_today(case.answers.get(name, ()), case.as_of) for name in NEUROLOGICAL]
    found: Features = {}
    put(found, "neuro_exam_today", truth(every(*parts)))
    return found


def _today(answers: tuple[Answer, ...], as_of: date) -> Tri:
    had = [answer for answer in answers if answer.value is not None]
    if not had:
        return Tri.UNKNOWN
    done = any(answer.how == "examined" and answer.observed == as_of for answer in had)
    return Tri.TRUE if done else Tri.FALSE
