from __future__ import annotations

import json
from typing import Any

import pytest

from cds.problems import CaseError
from cds.vocabulary.reading import read_case
from cds.web.form import as_list, case_of, examined, marked_levels, number, record_of, typed
from tests.support.shipped import shipped_service
from tests.web.sheets import DAY, LATER, first_visit, record_after

SLIPPED = {"a.slip_history": "yes", "s.L5.a.slip": "grade_1"}
PROGRAM = shipped_service().program
VOCABULARY = shipped_service().decider.vocabulary


def case(**fields: str) -> dict[str, Any]:
    return case_of(PROGRAM, VOCABULARY, {"as_of": DAY, "by": "th-1", **fields})


def test_an_empty_sheet_says_nothing_of_a_patient() -> None:
    assert case_of(PROGRAM, VOCABULARY, {"as_of": DAY}) == {
        "as_of": DAY,
        "moment": "before_session",
    }


def test_an_answer_has_its_day_by_whom_and_how() -> None:
    found = case(**{"a.leg_symptoms": "none", "a.guarding": "mild", "a.duration_days": "5"})
    stamp = {"observed": DAY, "by": "th-1"}
    assert found["answers"] == {
        "leg_symptoms": [{**stamp, "how": "asked", "value": "none"}],
        "guarding": [{**stamp, "how": "examined", "value": "mild"}],
        "duration_days": [{**stamp, "how": "asked", "value": 5}],
    }


def test_a_reason_is_no_value() -> None:
    found = case(**{"a.leg_symptoms": "~declined"})["answers"]["leg_symptoms"]
    assert found == [{"observed": DAY, "by": "th-1", "how": "asked", "missing": "declined"}]


def test_a_block_is_asked_or_examined_and_some_says_nothing_of_it() -> None:
    found = case(**{"b.bone": "none_of_these", "b.neurological_examination": "none_of_these"})
    assert found["blocks"]["bone"]["how"] == "by_block"
    assert found["blocks"]["neurological_examination"]["how"] == "examined"
    assert "blocks" not in case(**{"b.bone": "some"})


def test_levels_count_only_when_all_were_palpated() -> None:
    marked = {"s.L4.flexion": "left", "s.L4.a.provocation": "concordant"}
    assert "segments" not in case(**marked)
    assert marked_levels(marked) == {"L4"}
    assert case(**marked, palpated="yes")["segments"] == [
        {
            "level": "L4",
            "prominent": {"flexion": "left"},
            "answers": {
                "provocation": [
                    {"observed": DAY, "by": "th-1", "how": "examined", "value": "concordant"}
                ]
            },
        }
    ]
    assert case(palpated="yes")["segments"] == []


def test_a_level_the_record_knows_stays_when_it_was_found_even() -> None:
    before = record_after(first_visit(**SLIPPED))
    found = case(record=before, palpated="yes", as_of=LATER)
    even = dict.fromkeys(("flexion", "neutral", "extension"), "symmetric")
    slipped = next(s for s in found["segments"] if s["level"] == "L5")
    assert slipped["prominent"] == even
    (slip,) = as_list(slipped["answers"]["slip"])
    assert (slip["value"], slip["observed"]) == ("grade_1", DAY)


def test_answers_are_not_laid_over_the_record_of_another_patient() -> None:
    before = record_after(first_visit(subject="s-0001"))
    assert (
        case(record=before)["subject"]
        == "s-0001"
        == case(record=before, subject=" s-0001 ")["subject"]
    )
    with pytest.raises(CaseError) as refused:
        case(record=before, subject="s-0002")
    (problem,) = refused.value.problems
    assert problem.pointer == "/subject" and "s-000" not in problem.message
    # a record that names nobody takes the number that is typed
    assert case(record=record_after(first_visit()), subject="s-0002")["subject"] == "s-0002"


def test_the_first_visit_says_there_was_no_session_and_leaves_consent_open() -> None:
    found = case(first="yes")
    assert found["course"] == [] and found["referrals"] == []
    assert "consents" not in found
    assert "course" not in case(first="")


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("given", {"on": DAY}),
        ("withdrawn", {"on": DAY, "withdrawn": DAY}),
    ],
)
def test_a_consent_of_today(said: str, expected: dict[str, str]) -> None:
    found = case(**{"consent.hands_on": said})["consents"]
    assert found == [{"family": "hands_on", "region": "lumbar", "by": "th-1", **expected}]


def test_a_consent_is_for_the_region_that_is_named() -> None:
    def regions(**fields: str) -> list[str]:
        found = case(**{"consent.hands_on": "given"}, **fields)["consents"]
        return [consent["region"] for consent in found]

    assert regions() == ["lumbar"]
    assert regions(consent_region="thoracic") == ["thoracic"]
    assert regions(consent_region="both") == ["thoracic", "lumbar"]


def test_a_word_no_consent_has_is_not_read_as_given() -> None:
    with pytest.raises(CaseError) as refused:
        read_case(VOCABULARY, case(**{"consent.hands_on": "perhaps"}))
    assert [p.pointer for p in refused.value.problems] == ["/consents/0/withdrawn"]


def test_a_consent_asked_and_not_given_is_known() -> None:
    assert case(**{"consent.hands_on": "none"})["consents"] == []


def test_what_was_said_before_consent_is_one_answer_or_three() -> None:
    all_three = case(**{"consent.hands_on": "given", "consent.points": "all"})["consents"][0]
    assert {all_three[k] for k in ("capacity", "risks_given", "alternative_given")} == {"yes"}
    some = case(
        **{"consent.hands_on": "given", "consent.points": "some", "consent.capacity": "no"}
    )["consents"][0]
    assert some["capacity"] == "no" and "risks_given" not in some


def test_the_last_session_is_told_in_one_answer_or_in_parts() -> None:
    before = record_after(first_visit())
    one = case(record=before, **{"last.after": "within_24h", "last.comparable_sign": "better"})
    assert len(one["course"]) == 1
    assert one["course"][0]["pain_after"] == 3
    told = ("settled", "spread", "stop_sign", "adverse", "comparable_sign")
    assert {k: one["course"][0][k] for k in told} == {
        "stop_sign": "no",
        "settled": "within_24h",
        "spread": "none",
        "adverse": "none",
        "comparable_sign": "better",
    }
    parts = case(record=before, **{"last.after": "more", "last.spread": "distal"})["course"][0]
    assert parts["spread"] == "distal"
    assert "settled" not in parts and "adverse" not in parts
    # parts typed before the one answer was chosen say nothing more
    left = case(record=before, **{"last.after": "within_48h", "last.spread": "distal"})
    assert left["course"][0]["spread"] == "none"


def test_bad_news_of_the_record_is_not_overwritten() -> None:
    before = json.loads(record_after(first_visit()))
    bad = {"settled": "longer", "spread": "distal", "stop_sign": "yes", "adverse": "minor"}
    before["course"][-1] |= bad
    found = case(record=json.dumps(before), **{"last.after": "within_24h"})
    assert {key: found["course"][-1][key] for key in bad} == bad
    worse = case(record=json.dumps(before), **{"last.after": "more", "last.adverse": "serious"})
    assert worse["course"][-1]["adverse"] == "serious"


def test_a_word_no_session_has_is_left_for_reading_to_refuse() -> None:
    found = case(record=record_after(first_visit()), **{"last.after": "soon"})
    with pytest.raises(CaseError) as refused:
        read_case(VOCABULARY, found)
    assert [p.pointer for p in refused.value.problems] == ["/course/0/settled"]


def test_nothing_is_told_of_a_session_that_was_not() -> None:
    assert case(first="yes", **{"last.after": "within_24h"})["course"] == []


def test_an_answer_of_the_record_keeps_its_day_beside_todays() -> None:
    before = record_after(first_visit())
    found = case(record=before, as_of=LATER, **{"a.leg_symptoms": "above_knee"})
    days = [(a["value"], a["observed"]) for a in found["answers"]["leg_symptoms"]]
    assert days == [("none", DAY), ("above_knee", LATER)]
    assert as_list(found["answers"]["bladder_function"])[0]["observed"] == DAY


def test_unchanged_keeps_the_day_it_was_first_asked() -> None:
    before = record_after(first_visit())
    again = case(record=before, as_of=LATER, **{"a.night_pain": "~unchanged"})
    last = again["answers"]["night_pain"][-1]
    assert last["observed"] == DAY and last["asked"] == LATER
    assert last["how"] == "confirmed_unchanged" and last["confirmations"] == 1
    block = case(record=before, as_of=LATER, **{"b.bone": "~unchanged"})
    assert block["answers"]["bone_disease"][-1]["asked"] == LATER
    assert "bone" not in block.get("blocks", {})


def test_unchanged_of_nothing_is_refused_at_its_question() -> None:
    with pytest.raises(CaseError) as refused:
        case(**{"a.night_pain": "~unchanged"})
    assert [p.pointer for p in refused.value.problems] == ["/answers/night_pain"]


def test_a_positive_is_resolved_by_one_field() -> None:
    before = record_after(first_visit(**{"a.new_trauma": "minor_fall"}))
    found = case(record=before, as_of=LATER, **{"r.new_trauma": "asked"})
    assert found["resolved"] == [
        {"finding": "new_trauma", "on": LATER, "how": "asked", "by": "th-1"}
    ]
    level = case(**{"s.L5.r.slip": "imaging"}, record=record_after(first_visit(**SLIPPED)))
    assert level["resolved"][0]["level"] == "L5"


def test_a_record_that_is_none_is_refused_at_the_record() -> None:
    for text in ("{", '{"as_of": "never"}', "[]"):
        with pytest.raises(CaseError) as refused:
            record_of(VOCABULARY, text)
        assert all((p.pointer or "").startswith("/record") for p in refused.value.problems)
    assert record_of(VOCABULARY, "  ") == ({}, None)


def test_a_visit_and_its_record_are_cases() -> None:
    read_case(VOCABULARY, case_of(PROGRAM, VOCABULARY, first_visit()))
    later = case(as_of=LATER, record=record_after(first_visit()), palpated="yes")
    assert json.loads(json.dumps(later)) == later
    assert len(read_case(VOCABULARY, later).course or ()) == 1


def test_training_is_of_the_therapist_who_is_named() -> None:
    found = case(**{"training.thrust": "yes"})["clinician"]
    assert found == {"id": "th-1", "training": {"thrust": "yes"}}


@pytest.mark.parametrize(
    ("text", "value"),
    [("5", 5), ("-2", -2), ("1.5", 1.5), ("1,5", 1.5), ("abc", "abc"), ("inf", "inf"),
     ("nan", "nan")],
)  # fmt: skip
def test_a_number_or_the_text_that_was_typed(text: str, value: object) -> None:
    assert number(text) == value


def test_of_a_repeated_field_the_last_that_says_something() -> None:
    assert typed([("a", ""), ("a", "1"), ("a", ""), ("b", "")]) == {"a": "1", "b": ""}
    assert as_list({"value": 1}) == [{"value": 1}] and as_list(None) == []


def test_what_is_examined_comes_from_the_visit_of_the_rule_book() -> None:
    found = examined(PROGRAM)
    assert {"guarding", "power", "segment.mobility"} <= found
    assert not {"leg_symptoms", "bladder_function", "diabetes"} & found
