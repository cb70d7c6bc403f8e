from __future__ import annotations

from typing import Any

import pytest

from cds.problems import CaseError
from cds.service.rethinking import close, questions, table
from cds.vocabulary.reading import read_case
from tests.support.shipped import demo, shipped_service
from tests.whatif.cases import data

DECIDER = shipped_service().decider


def refused(use: Any, body: object) -> list[tuple[str, str | None]]:
    with pytest.raises(CaseError) as caught:
        use(DECIDER, body)
    return [(problem.code, problem.pointer) for problem in caught.value.problems]


def test_questions_effects_a_set_and_what_stays() -> None:
    found = questions(DECIDER, {"case": data("screen-saddle-declined"), "limit": 2})
    assert len(found["questions"]) == 2
    assert found["questions"][0]["question"] == "saddle_sensation"
    assert [a["question"] for a in found["settle"]["answers"]] == ["saddle_sensation"]
    assert found["unmoved"]["shut"]
    assert found["edition"]["digest"] == shipped_service().digest


def test_one_finding_may_be_named() -> None:
    body = {"case": data("screen-saddle-declined"), "finding": "bladder_function"}
    (found,) = questions(DECIDER, body)["questions"]
    assert found["question"] == "bladder_function"


def test_problems_stand_at_their_place_all_at_once() -> None:
    body = {"case": {"as_of": "2026-11-31"}, "limit": 0, "level": "L9", "more": 1}
    found = refused(questions, body)
    assert ("unknown-key", "/more") in found
    assert ("bad-date", "/case/as_of") in found
    assert any(pointer == "/limit" for _, pointer in found)
    assert any(pointer == "/level" for _, pointer in found)
    for use in (questions, table, close):
        assert refused(use, []) == [("wrong-type", "")]


def test_a_finding_that_is_none_is_refused_at_its_place() -> None:
    body = {"case": data("screen-saddle-declined"), "finding": "nothing_of_the_sort"}
    assert refused(questions, body) == [("unknown-finding", "/finding")]


def test_the_table_comes_with_what_closing_may_begin_from() -> None:
    found = table(DECIDER, {"case": data("clinic-9-latch-in-session")})
    assert found["table"]["rows"]
    assert {entry["rung"] for entry in found["offer"]["done"]} >= {"mobilization_4"}


def test_closing_answers_the_record_as_a_case() -> None:
    closing = {"done": [{"level": "L5", "rung": "muscle_energy"}], "guarding": "mild", "pain": 3}
    body = {"case": data("clinic-9-latch-in-session"), "closing": closing}
    found = close(DECIDER, body)["record"]
    session = found["course"][-1]
    assert session["given"] == [{"level": "L5", "rung": "muscle_energy"}]
    assert (session["guarding_after"], session["pain_after"]) == ("mild", 3)
    read_case(DECIDER.vocabulary, found)


def test_closing_refuses_what_it_cannot_read() -> None:
    case = data("clinic-9-latch-in-session")
    closing = {"done": [{"level": "L9", "rung": "x"}], "guarding": "bad", "pain": 11, "extra": 1}
    found = refused(close, {"case": case, "closing": closing})
    assert {pointer for _, pointer in found} == {
        "/closing/done/0/level", "/closing/done/0/rung", "/closing/guarding", "/closing/pain",
        "/closing/extra",
    }  # fmt: skip
    assert ("missing-key", "") in refused(close, {"case": case})
    assert refused(close, {"case": case, "closing": {}}) == [("missing-key", "/closing")]


def test_only_advised_referrals_and_real_sessions() -> None:
    closing: dict[str, Any] = {"done": [], "referred": ["emergency_department"]}
    body = {"case": data("clinic-9-next-visit"), "closing": closing}
    assert refused(close, body) == [("not-advised", "/closing/referred/0")]
    body = {"case": data("contact-nothing-new"), "closing": {"done": []}}
    assert refused(close, body) == [("not-a-moment-for", "/case/moment")]


def test_the_service_has_them() -> None:
    body = {"case": demo("first_visit")["case"]}
    assert shipped_service().session_table(body) == table(DECIDER, body)
    assert shipped_service().close_session({**body, "closing": {"done": []}})["record"]["course"]
    assert shipped_service().questions({**body, "limit": 1})["questions"]


def test_a_call_asks_what_the_advice_of_a_call_reads() -> None:
    found = shipped_service().call_questions
    names = [name for question in found for name in question["findings"]]
    assert "saddle_sensation" in names
    case = data("contact-nothing-new")
    case["answers"]["saddle_sensation"] = "altered"
    advice = shipped_service().advise({"case": case})["advice"]
    assert advice["moment"] == "contact"
    assert advice["headline"]["kind"] == "emergency"
    for name in names:
        assert name in DECIDER.program.findings
