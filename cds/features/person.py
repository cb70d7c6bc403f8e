"""Age, sex, the moment, training: what is known of the people and of the request."""

from __future__ import annotations

from cds.features.record import Features, Record, put
from cds.features.uncertain import YES_NO, choice, possible
from cds.vocabulary.values import Amount, Choice

TRAINED_FAMILIES = ("muscle_energy", "mobilization", "thrust")
SEXES = ("female", "male", "other")


def person_features(record: Record) -> Features:
    """`age` (years, an interval for a partial birth date), `sex`, `moment`, `training_*`,
    `segments_listed`.

    Training that was not sent is unknown: being employed is not being trained.
    """
    case = record.case
    found: Features = {"moment": Choice((case.moment,))}
    if case.age_low is not None or case.age_high is not None:
        found["age"] = Amount(case.age_low, case.age_high)
    put(found, "sex", choice(possible(case.sex, SEXES), SEXES))
    for family in TRAINED_FAMILIES:
        trained = possible(case.training.get(family), YES_NO)
        put(found, f"training_{family}", choice(trained, YES_NO))
    if case.segments is None:
        found["segments_listed"] = Amount(0, None)
    else:
        found["segments_listed"] = Amount(len(case.segments), len(case.segments))
    return found
