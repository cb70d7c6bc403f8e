from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from uuid import UUID

import orjson
import pytest

from cds.explain.check import check_chain
from cds.problems import CaseError
from cds.service.advise import AdviceEnvelope, advise, utc_text
from tests.support.shipped import demo, shipped_service

MOMENT = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
ID = UUID("00000000-0000-4000-8000-000000000001")


def given(body: object, full: bool = True) -> AdviceEnvelope:
    decider = shipped_service().decider
    return advise(decider, body, full=full, now=lambda: MOMENT, new_id=lambda: ID)


def test_the_envelope_says_which_answer_this_is() -> None:
    found = given(demo("first_visit"))
    assert list(found) == ["id", "time", "kind", "advice"]
    assert found["id"] == str(ID)
    assert found["time"] == "2026-11-20T09:30:00.000Z"
    assert found["kind"] == "given"
    assert given({**demo("first_visit"), "draft": True})["kind"] == "draft"


def test_being_a_draft_changes_no_advice() -> None:
    body = demo("first_visit")
    assert given({**body, "draft": True})["advice"] == given(body)["advice"]


def test_compact_and_full_say_the_same_and_compact_is_shorter() -> None:
    full, compact = given(demo("sixth_visit")), given(demo("sixth_visit"), full=False)
    assert full["advice"]["detail"] == "full"
    assert compact["advice"]["detail"] == "compact"
    for key in ("headline", "status", "care_today", "referrals", "path", "segments"):
        assert full["advice"][key] == compact["advice"][key]  # type: ignore[literal-required]
    assert len(orjson.dumps(compact)) < len(orjson.dumps(full))


def test_the_demonstration_reaches_what_it_shows() -> None:
    first = given(demo("first_visit"))["advice"]
    assert first["status"] == "settled"
    assert first["segments"][0]["sides"] == {"flexed": "left"}
    assert first["segments"][0]["path"]["start_at"].startswith("muscle_energy")
    assert "flexed-muscle-energy" in [card["id"] for card in first["segments"][0]["cards"]]
    sixth = given(demo("sixth_visit"))["advice"]
    assert sixth["segments"][0]["path"]["up_to"]["now"] == "thrust"
    assert {"flexed-thrust"} <= {card["id"] for card in sixth["segments"][0]["cards"]}


@pytest.mark.parametrize("name", ["first_visit", "sixth_visit"])
def test_the_chain_of_the_demonstration_can_be_derived_again(name: str) -> None:
    advice = given(demo(name))["advice"]
    assert check_chain(shipped_service().program, advice) == []


def test_an_empty_case_is_never_proceed_alone() -> None:
    body = {"case": {"as_of": "2026-11-20", "moment": "before_session"}}
    advice = given(body)["advice"]
    assert advice["status"] == "ask_first"
    assert advice["path"]["steps"] == []


def test_a_wrong_case_gets_no_envelope() -> None:
    with pytest.raises(CaseError):
        given({"case": {}})


def test_time_is_written_in_utc() -> None:
    east = timezone(timedelta(hours=2))
    assert utc_text(datetime(2026, 1, 1, 1, 0, tzinfo=east)) == "2025-12-31T23:00:00.000Z"
