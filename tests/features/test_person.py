"""Age, sex, moment, training, number of levels."""

from __future__ import annotations

from cds.features.person import person_features
from tests.features.cases import a_record, palpated, plain


def found(**changed: object) -> dict[str, object]:
    return {name: plain(value) for name, value in person_features(a_record(**changed)).items()}  # type: ignore[arg-type]


def test_what_is_known() -> None:
    known = found(age_low=34, age_high=34, sex="female", training={"thrust": "no"}, segments=())
    assert known == {
        "moment": "before_session", "age": 34, "sex": "female", "training_thrust": "no",
        "segments_listed": 0,
    }  # fmt: skip


def test_a_birth_year_gives_an_interval() -> None:
    assert found(age_low=33, age_high=34)["age"] == (33, 34)


def test_what_is_not_sent_is_unknown() -> None:
    assert found() == {"moment": "before_session", "segments_listed": (0, None)}


def test_training_by_family() -> None:
    known = found(training={"muscle_energy": "yes", "mobilization": "no", "cupping": "yes"})
    assert known["training_muscle_energy"] == "yes"
    assert known["training_mobilization"] == "no"
    assert "training_thrust" not in known and "training_cupping" not in known


def test_levels_are_counted() -> None:
    assert found(segments=(palpated("L5", "000"), palpated("L4", "???")))["segments_listed"] == 2
