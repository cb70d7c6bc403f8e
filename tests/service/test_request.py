from __future__ import annotations

import pytest

from cds.problems import CaseError
from cds.service.request import read_request
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
