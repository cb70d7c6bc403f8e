"""The closed list of figures: every key computed under its own name, nothing for an empty case."""

from __future__ import annotations

from cds.features.information import FIGURES, figures
from tests.features.cases import a_record, a_session
from tests.features.test_figures import ALL_FIVE, values


def test_an_empty_case_has_no_figure() -> None:
    assert figures(a_record(), {}) == {}


def test_every_key_can_be_known_and_is_its_own() -> None:
    given = values(
        **ALL_FIVE, sex="female", age=71, cancer_history="past", cord_cluster_items=3,
        disability_index=40, roland_morris=9, fear_avoidance_activity=10, beighton=4,
        risk_questionnaire_total=3,
    )  # fmt: skip
    record = a_record({"pain": 5}, course=(a_session(9, pain_before=6),))
    found = figures(record, given)
    assert list(found) == list(FIGURES)
    assert all(figure.key == key for key, figure in found.items())
    assert all(figure.inputs and figure.of for figure in found.values())
