from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest

from cds.explain.paper import as_markdown, as_text
from cds.problems import CaseError
from cds.service.writing import compare, write_home_sheet, write_letters, write_note
from tests.support.shipped import demo, shipped_service

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
ID = UUID(int=7)
CASE = {"as_of": "2026-11-20", "moment": "before_session"}
PAPERS = (write_note, write_home_sheet)


def now() -> datetime:
    return NOW


def new_id() -> UUID:
    return ID


@pytest.mark.parametrize("write", PAPERS)
def test_a_paper_in_its_envelope(write: Callable[..., Any]) -> None:
    decider = shipped_service().decider
    body = {"case": demo("sixth_visit")["case"]}
    found = write(decider, body, now=now, new_id=new_id)
    assert (found["id"], found["time"]) == (str(ID), "2026-11-20T09:30:00.000Z")
    assert found["edition"]["digest"] == decider.program.digest
    assert found["text"] == as_text(found["paper"])
    marked = write(decider, {**body, "format": "markdown"}, now=now, new_id=new_id)
    assert marked["text"] == as_markdown(found["paper"])
    assert write(decider, body, now=now, new_id=new_id) == found


def test_a_letter_for_each_referral() -> None:
    decider = shipped_service().decider
    body = {"case": {**CASE, "answers": {"saddle_sensation": "altered"}}}
    found = write_letters(decider, body, now=now, new_id=new_id)
    urgencies = [letter["urgency"] for letter in found["letters"]]
    assert urgencies[0] == "emergency"
    assert all(letter["text"] == as_text(letter["paper"]) for letter in found["letters"])
    assert write_letters(
        decider, {"case": demo("sixth_visit")["case"]}, now=now, new_id=new_id
    )["letters"] == []  # fmt: skip


def test_what_changed_is_said_of_two_days() -> None:
    decider = shipped_service().decider
    after = {**CASE, "as_of": "2026-11-27", "answers": {"saddle_sensation": "altered"}}
    found = compare(decider, {"before": CASE, "after": after}, now=now, new_id=new_id)
    assert (found["before"], found["after"]) == ("2026-11-20", "2026-11-27")
    assert found["changes"] and found["sentences"]
    assert "edition" not in {change["about"] for change in found["changes"]}


@pytest.mark.parametrize("write", [*PAPERS, write_letters, compare])
def test_what_is_no_case_is_refused(write: Callable[..., Any]) -> None:
    with pytest.raises(CaseError):
        write(shipped_service().decider, {"case": {}}, now=now, new_id=new_id)
