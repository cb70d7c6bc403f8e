from __future__ import annotations

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from cds.vocabulary.reading import read_case
from cds.web.carry import case_text, case_typed
from cds.web.form import as_list, record_of
from tests.support.shipped import demo, shipped_service
from tests.web.reading import Read, post
from tests.web.sheets import LATER, first_visit
from tests.web.visits import demo_fields, fixture_fields

SERVICE = shipped_service()
ANSWERED = {
    "page.closing": "yes",
    "page.done.L5.muscle_energy": "yes",
    "page.done.L5.mobilization_1": "yes",
    "page.guarding": "none",
    "page.pain": "2",
}


def closed(client: TestClient, **more: str) -> tuple[Read, dict[str, Any]]:
    page = post(client, "/close", {**demo_fields("first_visit"), **ANSWERED, **more})
    found: dict[str, Any] = json.loads(page.area("record-text"))
    return page, found


def test_three_questions_and_nothing_marked_beforehand(client: TestClient) -> None:
    page = post(client, "/close", demo_fields("first_visit"))
    assert not [field for field in page.inputs if field["checked"]]
    names = [field["name"] for field in page.inputs]
    advice = SERVICE.advise(demo("first_visit"))["advice"]
    offered = {f"page.done.L5.{step['rung']}" for step in advice["path"]["steps"]}
    assert {n for n in names if n.startswith("page.done.L5")} == offered
    assert names.count("page.guarding") == 5 and names.count("page.pain") == 12
    assert not [n for n in names if n.startswith("page.referred")]


def test_the_answers_become_the_last_session_of_the_record(client: TestClient) -> None:
    page, record = closed(client)
    case = demo("first_visit")["case"]
    assert len(record["course"]) == 1
    session = record["course"][-1]
    assert session["on"] == case["as_of"]
    assert session["given"] == [
        {"level": "L5", "rung": "muscle_energy"},
        {"level": "L5", "rung": "mobilization_1"},
    ]
    assert (session["guarding_before"], session["guarding_after"]) == ("mild", "none")
    assert (session["pain_before"], session["pain_after"]) == (4, 2)
    assert "settled" not in session and "comparable_sign" not in session
    assert record["moment"] == "before_session" and "prominent" not in str(record)
    assert "2" in page.text and "L5 muscle energy technique" in page.text


def test_the_next_visit_gets_the_record_the_case_before_and_what_was_seen(
    client: TestClient,
) -> None:
    fields = {**demo_fields("first_visit"), "seen": "0123456789abcdef"}
    page = post(client, "/close", {**fields, **ANSWERED})
    ahead = page.hidden[0]
    assert ahead == {
        "record": page.area("record-text"),
        "before": case_text(case_typed(SERVICE, fields)),
        "seen": "0123456789abcdef",
    }
    _, case = record_of(SERVICE.decider.vocabulary, ahead["record"])
    assert case is not None and case.course is not None and len(case.course) == 1
    before = read_case(SERVICE.decider.vocabulary, json.loads(ahead["before"]))
    assert before == read_case(SERVICE.decider.vocabulary, case_typed(SERVICE, fields))
    sheet = post(client, "/visit", {"record": ahead["record"], "seen": ahead["seen"]})
    assert "1 session" in sheet.text and sheet.hidden[0]["seen"] == ahead["seen"]
    # the sheet keeps what it has no question for, for the advice after it
    assert post(client, "/visit", {"before": '{"a":"<b>"}'}).hidden[0]["before"] == '{"a":"<b>"}'
    # the other form carries this visit on as it was
    assert page.hidden[1] == fields


def test_the_advice_of_the_next_visit_is_had_before_anything_is_palpated(
    client: TestClient,
) -> None:
    page, _ = closed(client)
    ahead = {"record": page.hidden[0]["record"], "as_of": "2026-11-27", "a.pain": "3"}
    assert "27 November 2026" in post(client, "/advice", ahead).text


def test_visits_follow_one_another(client: TestClient) -> None:
    page, _ = closed(client)
    again = {"record": page.hidden[0]["record"], "as_of": "2026-11-27", "a.pain": "1", **ANSWERED}
    record = json.loads(post(client, "/close", again).area("record-text"))
    assert [session["on"] for session in record["course"]] == ["2026-11-20", "2026-11-27"]
    assert record["course"][-1]["pain_before"] == 1


def test_a_fused_level_stays_in_the_record_of_a_visit_without_palpation(
    client: TestClient,
) -> None:
    fused = {
        "a.spinal_surgery": "over_six_months",
        "a.weeks_since_spinal_surgery": "200",
        "s.L4.a.fusion": "yes",
    }
    done = {"page.closing": "yes", "page.done.nothing": "yes"}
    first = post(client, "/close", {**first_visit(**fused), **done})
    bare = {"record": first.area("record-text"), "as_of": LATER}
    # not palpated, nothing at all typed of a level; then the same by way of a call
    second = post(client, "/close", {**bare, **done}).area("record-text")
    third = post(client, "/call", {**bare, "a.pain": "3"}).area("record")
    # and one that was typed before anybody said that all levels were palpated
    typed = post(client, "/close", {**first_visit(**fused), **done, "palpated": ""})
    for text in (second, third, typed.area("record-text")):
        (level,) = json.loads(text)["segments"]
        assert level["level"] == "L4" and "prominent" not in level
        assert as_list(level["answers"]["fusion"])[-1]["value"] == "yes"
        page = post(client, "/advice", {"record": text, "as_of": LATER, "palpated": "yes"})
        assert "Fused level, L4 yes" in page.text
    wrong = {**first_visit(**fused), **done, "palpated": "", "s.L4.a.fusion": "perhaps"}
    assert "Nothing was assessed" in post(client, "/close", wrong, status=422).text


def test_what_was_not_taken_stays_unknown(client: TestClient) -> None:
    page, record = closed(client, **{"page.guarding": "", "page.pain": ""})
    assert "guarding_after" not in record["course"][-1]
    assert "pain_after" not in record["course"][-1]
    assert page.text.count("not taken: unknown") == 2


def test_nothing_done_is_an_answer_and_so_is_what_was_not_on_the_path(client: TestClient) -> None:
    base = {**demo_fields("first_visit"), "page.closing": "yes"}
    nothing = post(client, "/close", {**base, "page.done.nothing": "yes"})
    assert json.loads(nothing.area("record-text"))["course"][-1]["given"] == []
    assert "nothing hands-on" in nothing.text
    other = {**base, "page.other.level": "L4", "page.other.rung": "mobilization_3"}
    record = json.loads(post(client, "/close", other).area("record-text"))
    assert record["course"][-1]["given"] == [{"level": "L4", "rung": "mobilization_3"}]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({}, "Mark what was done"),
        ({"page.done.nothing": "yes", "page.done.L5.muscle_energy": "yes"}, "nothing as well"),
        ({"page.other.level": "L4"}, "both its level and its rung"),
        ({"page.done.L9.muscle_energy": "yes"}, "`T10`"),
        ({"page.done.nothing": "yes", "page.pain": "11"}, "10"),
        ({"page.done.nothing": "yes", "page.pain": "x"}, "must be a number"),
        ({"page.done.nothing": "yes", "page.guarding": "some"}, "`marked`"),
        ({"page.done.nothing": "yes", "page.referred.physician": "yes"}, "no such referral"),
        ({"page.done.<b>": "yes"}, ""),
    ],
)
def test_what_is_wrong_is_shown_at_its_question(
    client: TestClient, wrong: dict[str, str], said: str
) -> None:
    fields = {**demo_fields("first_visit"), "page.closing": "yes", **wrong}
    page = post(client, "/close", fields, status=422)
    assert "Close the visit" in page.words and page.hidden[0]["record"] == fields["record"]
    raw = client.post("/close", data=fields).text
    assert 'class="wrong"' in raw and said in page.text and "<b>" not in raw


def test_a_referral_is_offered_and_recorded_only_where_it_was_made(client: TestClient) -> None:
    fields = fixture_fields("cauda-equina-both-legs-weak")
    page = post(client, "/close", fields)
    names = {f["name"] for f in page.inputs if f["name"].startswith("page.referred.")}
    assert names == {"page.referred.emergency_department", "page.referred.spinal_service"}
    done = {**fields, "page.closing": "yes", "page.done.nothing": "yes"}
    made = {**done, "page.referred.emergency_department": "yes"}
    record = json.loads(post(client, "/close", made).area("record-text"))
    (referral,) = [r for r in record["referrals"] if r["on"] == "2026-11-20"]
    assert (referral["to"], referral["urgency"]) == ("emergency_department", "emergency")
    assert not json.loads(post(client, "/close", done).area("record-text")).get("referrals")


def test_a_call_cannot_be_closed_as_a_session(client: TestClient) -> None:
    fields = {**demo_fields("first_visit"), **ANSWERED, "moment": "contact"}
    page = post(client, "/close", fields, status=422)
    assert "no session to close" in page.text and page.buttons[0] == "/visit"


def test_hostile_text_in_the_record_stays_text(client: TestClient) -> None:
    fields = {**demo_fields("first_visit"), **ANSWERED, "episode": "</textarea><i>&quot;"}
    answer = client.post("/close", data=fields)
    page = Read(answer.text)
    assert "</textarea><i>" not in answer.text
    if answer.status_code == 200:
        assert json.loads(page.area("record-text"))["episode"] == "</textarea><i>&quot;"
    else:
        assert page.hidden[0]["episode"] == fields["episode"]
