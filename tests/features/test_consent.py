"""How consent stands today."""

from __future__ import annotations

from datetime import timedelta

import pytest

from cds.features.consent import consent_features
from cds.vocabulary.case import Consent, Segment
from tests.features.cases import AS_OF, a_record, plain

INFORMED = {"risks_given": "yes", "alternative_given": "yes", "capacity": "yes"}


def consent(family: str = "hands_on", days_ago: int = 0, **changed: object) -> Consent:
    parts: dict[str, object] = {"region": "lumbar", "by": "t-1", **INFORMED, **changed}
    return Consent(family=family, on=AS_OF - timedelta(days=days_ago), **parts)  # type: ignore[arg-type]


def found(name: str, *consents: Consent, sent: bool = True) -> object:
    record = a_record(consents=consents, consents_sent=sent)
    return plain(consent_features(record).get(f"consent_{name}"))


NAMES = ("hands_on", "muscle_energy", "mobilization", "thrust")


@pytest.mark.parametrize("name", NAMES)
def test_not_sent_is_unknown_and_none_is_missing(name: str) -> None:
    assert found(name, sent=False) == "unknown"
    assert found(name) == "missing"
    assert found(name, consent("dry_needling"), sent=False) == "missing"


def test_hands_on_covers_muscle_energy_and_mobilization_never_thrust() -> None:
    assert [found(name, consent()) for name in NAMES] == ["given", "given", "given", "missing"]


def test_one_family_alone_is_not_all_hands_on() -> None:
    only = consent("muscle_energy")
    assert [found(name, only) for name in NAMES] == ["missing", "given", "missing", "missing"]
    assert found("hands_on", only, consent("mobilization")) == "given"


def test_a_thrust_needs_its_own_of_today() -> None:
    assert found("thrust", consent("thrust")) == "given"
    assert found("thrust", consent("thrust", 1)) == "missing"
    assert found("hands_on", consent("thrust")) == "missing"


def test_hands_on_stands_for_the_episode() -> None:
    assert found("hands_on", consent(days_ago=30)) == "given"


def test_another_region_is_no_consent_here() -> None:
    assert found("hands_on", consent(region="cervical")) == "missing"
    assert found("thrust", consent("thrust", region="cervical")) == "missing"


def test_a_consent_dated_later_does_not_count_yet() -> None:
    assert found("hands_on", consent(days_ago=-1)) == "missing"


@pytest.mark.parametrize(("days_ago", "state"), [(1, "withdrawn"), (0, "withdrawn"), (-1, "given")])
def test_withdrawn_up_to_today(days_ago: int, state: str) -> None:
    withdrawn = AS_OF - timedelta(days=days_ago)
    assert found("hands_on", consent(days_ago=5, withdrawn=withdrawn)) == state


def test_given_again_after_a_withdrawal() -> None:
    first = consent(days_ago=9, withdrawn=AS_OF - timedelta(days=8))
    assert found("hands_on", first, consent(days_ago=2)) == "given"


def test_of_one_day_the_most_careful() -> None:
    assert found("hands_on", consent(), consent(withdrawn=AS_OF)) == "withdrawn"
    assert found("hands_on", consent(capacity="no"), consent(withdrawn=AS_OF)) == "no_capacity"


def test_no_capacity() -> None:
    assert found("hands_on", consent(capacity="no")) == "no_capacity"
    assert found("thrust", consent("thrust", capacity="no")) == "no_capacity"
    assert found("hands_on", consent(capacity=None)) == "given"


def test_a_thrust_consent_must_say_it_was_informed() -> None:
    assert found("thrust", consent("thrust", risks_given=None)) == {"given", "missing"}
    assert found("thrust", consent("thrust", alternative_given="no")) == "missing"
    assert found("hands_on", consent(risks_given=None)) == "given"
    assert found("hands_on", consent(risks_given="no")) == "missing"


def test_withdrawing_hands_on_care_withdraws_a_thrust() -> None:
    general = consent(days_ago=9, withdrawn=AS_OF)
    assert found("thrust", general, consent("thrust")) == "withdrawn"
    earlier = consent(days_ago=9, withdrawn=AS_OF - timedelta(days=3))
    assert found("thrust", earlier, consent("thrust")) == "given"
    assert found("thrust", consent(capacity="no"), consent("thrust")) == "no_capacity"


def test_an_uninformed_thrust_consent_is_no_permission_after_a_withdrawal() -> None:
    general = consent(days_ago=9, withdrawn=AS_OF)
    assert found("thrust", general, consent("thrust", risks_given=None)) == "withdrawn"


def test_who_needed_an_interpreter_and_had_none_was_not_informed() -> None:
    assert found("hands_on", consent(interpreter="needed_not_had")) == "missing"
    for word in ("not_needed", "used", None):
        assert found("hands_on", consent(interpreter=word)) == "given"


def at(*consents: Consent, levels: tuple[str, ...] = ("L5", "T12")) -> dict[str, object]:
    """Consent to mobilization of the case, and whether each level lies outside it."""
    record = a_record(
        consents=consents, consents_sent=True, segments=tuple(Segment(level) for level in levels)
    )
    features = consent_features(record)
    return {"case": plain(features["consent_mobilization"])} | {
        level: plain(features.get(f"segment.outside_consent_mobilization@{level}"))
        for level in levels
    }


def test_a_consent_counts_in_its_own_region() -> None:
    assert at(consent()) == {"case": "given", "L5": "no", "T12": "yes"}
    assert at(consent(region="thoracic")) == {"case": "given", "L5": "yes", "T12": "no"}
    both = at(consent(), consent(region="thoracic"))
    assert both == {"case": "given", "L5": "no", "T12": "no"}
    assert at(consent(region="cervical")) == {"case": "missing", "L5": "no", "T12": "no"}


def test_thoracolumbar_is_the_junction_and_lumbar_ends_below_t12() -> None:
    levels = ("T10", "L2", "L3", "S1")
    assert at(consent(region="thoracolumbar"), levels=levels) == {
        "case": "given", "T10": "no", "L2": "no", "L3": "yes", "S1": "yes",
    }  # fmt: skip
    assert at(consent(), levels=("T12", "L1", "S1")) == {
        "case": "given", "T12": "yes", "L1": "no", "S1": "no",
    }  # fmt: skip


def test_withdrawn_in_one_region_stands_in_the_other() -> None:
    withdrawn = consent(region="thoracic", withdrawn=AS_OF)
    assert at(consent(days_ago=3), withdrawn) == {"case": "given", "L5": "no", "T12": "yes"}


def test_not_recorded_whether_informed_leaves_its_own_level_open() -> None:
    record = a_record(
        consents=(consent("thrust"), consent("thrust", region="thoracic", risks_given=None)),
        consents_sent=True,
        segments=(Segment("L5"), Segment("T12")),
    )
    features = consent_features(record)
    assert plain(features["consent_thrust"]) == "given"
    assert plain(features["segment.outside_consent_thrust@L5"]) == "no"
    assert plain(features.get("segment.outside_consent_thrust@T12")) in ("unknown", {"no", "yes"})
