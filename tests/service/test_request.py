from __future__ import annotations

import pytest

from cds.problems import CaseError
from cds.service.request import read_paper, read_request, read_two
from cds.vocabulary.codes import REQUEST_CODES
from tests.support.shipped import shipped_service

CASE = {"as_of": "2026-11-20", "moment": "before_session"}
KEYS = ("case", "draft")


def refused(body: object, keys: tuple[str, ...] = KEYS) -> list[tuple[str, str | None]]:
    with pytest.raises(CaseError) as caught:
        read_request(shipped_service().decider.vocabulary, body, keys)
    return [(problem.code, problem.pointer) for problem in caught.value.problems]


def test_a_case_and_a_draft_are_read() -> None:
    vocabulary = shipped_service().decider.vocabulary
    assert read_request(vocabulary, {"case": CASE}, KEYS).draft is False
    assert read_request(vocabulary, {"case": CASE, "draft": True}, KEYS).draft is True
    assert read_request(vocabulary, {"case": CASE}, KEYS).case.moment == "before_session"


@pytest.mark.parametrize("body", [[], "x", 1, None, True])
def test_a_body_that_is_no_object_is_refused(body: object) -> None:
    assert refused(body) == [("wrong-type", "")]


def test_problems_of_envelope_and_case_come_together() -> None:
    found = refused({"case": {"as_of": "2026-11-31"}, "draft": 1, "more": {}})
    assert set(found) == {
        ("bad-date", "/case/as_of"),
        ("missing-key", "/case"),
        ("wrong-type", "/draft"),
        ("unknown-key", "/more"),
    }


def test_a_missing_case_and_a_member_of_another_route_are_refused() -> None:
    assert refused({}) == [("missing-key", "")]
    assert refused({"case": CASE, "draft": False}, ("case",)) == [("unknown-key", "/draft")]


def test_a_paper_is_text_unless_asked_otherwise() -> None:
    vocabulary = shipped_service().decider.vocabulary
    case, form = read_paper(vocabulary, {"case": CASE})
    assert (case.moment, form) == ("before_session", "text")
    assert read_paper(vocabulary, {"case": CASE, "format": "markdown"})[1] == "markdown"
    for body in ([], {"case": CASE, "format": 1}, {"format": "text"}):
        with pytest.raises(CaseError):
            read_paper(vocabulary, body)


def test_two_cases_of_one_patient_in_order() -> None:
    vocabulary = shipped_service().decider.vocabulary
    later = {**CASE, "as_of": "2026-11-27", "subject": "s-1"}
    before, after = read_two(vocabulary, {"before": CASE, "after": later})
    assert (before.as_of.day, after.as_of.day) == (20, 27)
    for body in ([], {"before": later, "after": CASE}, {"before": CASE},
                 {"before": {**later, "subject": "s-2"}, "after": later}):  # fmt: skip
        with pytest.raises(CaseError):
            read_two(vocabulary, body)


def test_another_patient_is_its_own_code() -> None:
    vocabulary = shipped_service().decider.vocabulary
    cases = {"before": {**CASE, "subject": "s-1"}, "after": {**CASE, "subject": "s-2"}}
    with pytest.raises(CaseError) as caught:
        read_two(vocabulary, cases)
    assert [problem.code for problem in caught.value.problems] == list(REQUEST_CODES)
