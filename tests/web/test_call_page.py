from __future__ import annotations

import json

import pytest
from starlette.testclient import TestClient

from cds.web.call_page import questions, split
from cds.whatif.contact import contact_findings, contact_questions
from tests.support.shipped import demo, shipped_service, shipped_text
from tests.web.reading import Read, post
from tests.web.visits import demo_fields
from tests.whatif.cases import data

SERVICE = shipped_service()
WELL = {
    "page.told": "yes",
    "as_of": "2026-11-20",
    "a.bladder_function": "normal",
    "a.bowel_function": "normal",
    "a.leg_symptoms": "none",
    "a.leg_weakness": "none",
    "b.since_last": "none_of_these",
    "a.pain": "3",
    "a.saddle_sensation": "normal",
    "a.sexual_function": "unchanged",
}


def test_the_questions_are_those_of_the_rule_book_in_their_order() -> None:
    found = questions(SERVICE.program)
    asked = {question.finding for one in found for question in one.members}
    assert asked == {n for q in contact_questions(SERVICE.program) for n in q["findings"]}
    assert asked >= contact_findings(SERVICE.program)
    assert [one.ask for one in found if not one.only_if] == [
        split(q["ask"])[0] for q in contact_questions(SERVICE.program) if "only_if" not in q
    ]
    names = [one.name for one in found]
    # what is asked on a condition follows the question it hangs on
    assert names.index("a.weakness_course") == names.index("a.leg_weakness") + 1


@pytest.mark.parametrize(
    ("ask", "parts"),
    [
        ("Pain now, 0 to 10", ("Pain now, 0 to 10", "")),
        ("Any change - hard (older)", ("Any change", "hard (older)")),
        ("Feeling there (as told)", ("Feeling there", "as told")),
    ],
)
def test_a_question_is_split_from_what_helps_to_ask_it(ask: str, parts: tuple[str, str]) -> None:
    assert split(ask) == parts


def test_the_empty_page_has_nothing_marked_and_nothing_of_a_patient(client: TestClient) -> None:
    answer = client.get("/call")
    assert answer.status_code == 200 and answer.headers["cache-control"] == "no-store"
    page = Read(answer.text)
    assert not [field for field in page.inputs if field["checked"]]
    assert "Seven questions, and the answer at once." in page.text
    assert page.hidden == [{"page.told": "yes", "as_of": "2026-11-20", "moment": "contact"}]
    assert client.head("/call").status_code == 200


@pytest.mark.parametrize(
    ("told", "kind", "urgency"),
    [
        ({"a.bladder_function": "retention"}, "emergency", "emergency"),
        ({"a.saddle_sensation": "altered"}, "emergency", "emergency"),
        ({"a.leg_weakness": "both_legs", "a.weakness_course": "progressive"}, "emergency", ""),
        ({}, "not_settled", ""),
    ],
)
def test_the_answer_is_the_advice_of_the_call(
    client: TestClient, told: dict[str, str], kind: str, urgency: str
) -> None:
    fields = {**WELL, **told}
    raw = client.post("/call", data=fields).text
    page = Read(raw)
    answers = {
        name[2:]: {"value": int(text) if text.isdecimal() else text, "observed": "2026-11-20"}
        for name, text in fields.items()
        if name.startswith("a.")
    }
    case = {
        "as_of": "2026-11-20",
        "moment": "contact",
        "answers": answers,
        "blocks": {"since_last": {"value": "none_of_these", "observed": "2026-11-20"}},
    }
    advice = SERVICE.advise({"case": case})["advice"]
    assert advice["headline"]["kind"] == kind and f'data-kind="{kind}"' in raw
    assert advice["headline"]["text"] in page.words
    for net in advice["safety_net"]:
        assert net["text"] in page.words
    advised = [r for r in advice["referrals"] if r["urgency"]["now"] != "none"]
    assert all(r["title"] in page.words for r in advised)
    if urgency:
        assert any(r["urgency"]["now"] == urgency for r in advised)


def test_nothing_told_is_never_nothing_there(client: TestClient) -> None:
    page = post(client, "/call", {"page.told": "yes", "as_of": "2026-11-20"})
    assert "Ask before the call ends:" in page.words
    for asked in questions(SERVICE.program):
        if not asked.only_if and asked.name not in ("a.pain", "a.sexual_function"):
            assert page.words.count(asked.ask) == 2, asked.ask
    for word in ("safe", "cleared", "negative"):
        assert f" {word} " not in page.text.lower()


def test_what_was_told_stays_marked_and_goes_on(client: TestClient) -> None:
    page = post(client, "/call", {**WELL, "a.leg_symptoms": "below_knee"})
    marked = {(f["name"], f["value"]) for f in page.inputs if f["checked"]}
    assert ("a.leg_symptoms", "below_knee") in marked and ("a.pain", "3") in marked
    assert len(marked) == 8
    carried = page.hidden[0]
    assert carried["moment"] == "contact" and carried["a.leg_symptoms"] == "below_knee"
    # on the sheet of a visit it is no call any more
    assert "moment" not in page.hidden[1] and page.hidden[1]["a.leg_symptoms"] == "below_knee"


def test_a_record_is_taken_in_and_counts(client: TestClient) -> None:
    record = json.dumps(demo("sixth_visit")["case"])
    page = post(client, "/call", {**WELL, "record": record})
    assert "The record: 5 sessions" in page.text and json.loads(page.area("record"))
    without = post(client, "/call", WELL)
    assert page.text != without.text
    assert page.hidden[0]["record"] == record


def test_a_visit_that_arrives_becomes_the_record(client: TestClient) -> None:
    page = post(client, "/call", {**demo_fields("first_visit"), "a.pain": "7"})
    record = json.loads(page.area("record"))
    assert record["subject"] == "s-0417" and "7" in str(record["answers"]["pain"])
    assert not [field for field in page.inputs if field["checked"]]
    assert "a.pain" not in page.hidden[0]
    # a record alone arrives as it is
    alone = post(client, "/call", {"record": json.dumps(demo("first_visit")["case"])})
    assert json.loads(alone.area("record")) == demo("first_visit")["case"]


def test_steps_of_a_session_do_not_belong_to_a_call(client: TestClient) -> None:
    case = data("clinic-9-latch-in-session")
    assert case["today"]["steps"]
    assert client.post("/call", data={**WELL, "record": json.dumps(case)}).status_code == 200


@pytest.mark.parametrize("wrong", [{"a.pain": "11"}, {"a.bladder_function": "x"}, {"record": "{"}])
def test_what_is_wrong_is_shown_and_nothing_typed_is_lost(
    client: TestClient, wrong: dict[str, str]
) -> None:
    page = post(client, "/call", {**WELL, **wrong}, status=422)
    assert "Nothing was assessed." in page.words
    marked = {(f["name"], f["value"]) for f in page.inputs if f["checked"]}
    assert ("a.saddle_sensation", "normal") in marked


def test_the_safety_net_of_the_book_is_there_to_be_said(client: TestClient) -> None:
    page = post(client, "/call", {**WELL, "a.bladder_function": "retention"})
    assert "To say before the call ends" in page.words
    assert shipped_text("safety-net-cauda-equina")[:60] in page.text


def test_hostile_text_stays_text(client: TestClient) -> None:
    fields = {**WELL, "by": '"><script>x</script>', "record": "</textarea><b>"}
    raw = client.post("/call", data=fields).text
    assert "<script>x" not in raw and "</textarea><b>" not in raw
