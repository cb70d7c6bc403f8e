from __future__ import annotations

from typing import Any

import pytest

from cds.problems import CaseError
from cds.service.check import CheckResult, check
from tests.support.shipped import demo, shipped_service


def checked(**parts: Any) -> CheckResult:
    body = {"case": {"as_of": "2026-11-20", "moment": "before_session", **parts}}
    return check(shipped_service().decider.vocabulary, body)


def test_everything_is_missing_of_an_empty_case() -> None:
    found = checked()
    assert found["ok"] is True
    assert found["answers"]["used"] == 0
    assert found["answers"]["missing"] == {"not_asked": found["findings"]}
    assert found["segments"] is None
    assert found["sessions"] is None


def test_what_is_listed_and_answered_is_counted() -> None:
    found = check(shipped_service().decider.vocabulary, demo("sixth_visit"))
    assert found["segments"] == 1
    assert found["sessions"] == 5
    answers = found["answers"]
    known = answers["used"] + sum(answers["missing"].values())
    assert 0 < known <= found["findings"]


def test_an_answer_that_is_too_old_is_named_with_its_reason() -> None:
    old = {"value": "normal", "observed": "2024-01-05"}
    found = checked(answers={"saddle_sensation": old})
    assert found["answers"]["used"] == 0
    (entry,) = found["answers"]["stale"]
    assert entry["finding"] == "saddle_sensation"
    assert entry["observed"] == "2024-01-05"
    assert entry["why"]
    assert found["answers"]["missing"]["stale"] == 1


def test_what_voids_an_answer_is_named() -> None:
    found = checked(
        answers={
            "saddle_sensation": {"value": "normal", "observed": "2026-11-10"},
            "new_leg_symptom": {"value": "numbness", "observed": "2026-11-15"},
        }
    )
    (entry,) = found["answers"]["stale"]
    assert entry["by"] == "new_leg_symptom"


def test_a_draft_is_no_part_of_a_check() -> None:
    with pytest.raises(CaseError):
        check(shipped_service().decider.vocabulary, {"case": {}, "draft": True})
