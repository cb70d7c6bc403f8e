from __future__ import annotations

from typing import Any

import pytest

from cds.assure.burden.applicable import read_applicable
from cds.problems import CaseError
from cds.vocabulary.vocabulary import Vocabulary
from tests.assure.burden.support import shipped


def case(**answers: Any) -> dict[str, Any]:
    return {
        "as_of": "2026-11-20",
        "moment": "before_session",
        "patient": {"age": 50, "sex": "female"},
        "answers": answers,
    }


def test_only_what_does_not_apply_is_taken_out() -> None:
    vocabulary = Vocabulary.of(shipped())
    sent = case(leg_symptoms="none", leg_side="both", cancer_history="past")
    read_applicable(vocabulary, sent)
    assert sent["answers"] == {"leg_symptoms": "none", "cancer_history": "past"}
    kept = case(leg_symptoms="above_knee", leg_side="both")
    read_applicable(vocabulary, kept)
    assert kept["answers"] == {"leg_symptoms": "above_knee", "leg_side": "both"}


def test_any_other_problem_is_raised() -> None:
    with pytest.raises(CaseError):
        read_applicable(Vocabulary.of(shipped()), case(leg_symptoms="sometimes"))
