"""Whether the examination and screening that a thrust needs were done on the as-of date."""

from __future__ import annotations

from datetime import date

from cds.features.record import Features, Record, put
from cds.features.uncertain import every, truth
from cds.vocabulary.case import Answer
from cds.vocabulary.values import Tri

NEUROLOGICAL = ("power", "reflexes", "sensation")
"""The three parts; one alone is no neurological examination (common practice)."""


CAUDA_EQUINA = ("saddle_sensation", "bladder_function", "bowel_function")
"""Asked again on the day of a first thrust (common practice)."""

CORD = ("gait", "upper_motor_neuron_signs")
"""Looked at again on the day of a first thrust (common practice)."""


def examination_features(record: Record) -> Features:
    """`neuro_exam_today`, `thrust_screen_today`.

    `thrust_screen_today` is `yes` when every cauda equina question was asked and every cord sign
    looked at on the as-of date (a confirmation as unchanged does not count), `no` when one has only
    an older answer, unknown when one has none. For the neurological examination:

    `yes`: each part has a value that was examined and observed on the as-of date. `no`: a part has
    a value, but an older one, or one that was only asked, read in a record or confirmed. Unknown:
    a part has no value at all.
    """
    case = record.case
    parts = [_today(case.answers.get(name, ()), case.as_of) for name in NEUROLOGICAL]
    found: Features = {}
    put(found, "neuro_exam_today", truth(every(*parts)))
    screens = [_asked(case.answers.get(name, ()), case.as_of) for name in CAUDA_EQUINA + CORD]
    put(found, "thrust_screen_today", truth(every(*screens)))
    return found


def _asked(answers: tuple[Answer, ...], as_of: date) -> Tri:
    had = [answer for answer in answers if answer.value is not None]
    if not had:
        return Tri.UNKNOWN
    new = any(a.observed == as_of and a.how != "confirmed_unchanged" for a in had)
    return Tri.TRUE if new else Tri.FALSE


def _today(answers: tuple[Answer, ...], as_of: date) -> Tri:
    had = [answer for answer in answers if answer.value is not None]
    if not had:
        return Tri.UNKNOWN
    done = any(answer.how == "examined" and answer.observed == as_of for answer in had)
    return Tri.TRUE if done else Tri.FALSE
