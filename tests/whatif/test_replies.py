"""One more answer in a case."""

from __future__ import annotations

from cds.vocabulary.ageing import stand
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Choice
from cds.vocabulary.write import case_json
from cds.whatif.replies import AND_THRUST, Entry, Reply, said_json, told
from tests.whatif.cases import data, fixture, shipped

VOCABULARY = shipped().vocabulary
NO, YES = Choice(("no",)), Choice(("yes",))


def test_an_answer_counts_and_leaves_the_record_as_it_was() -> None:
    case = fixture("screen-cancer-not-asked")
    told_now = told(VOCABULARY, case, [Reply("cancer_history", None, Choice(("never",)))])
    standing = stand(VOCABULARY, told_now)
    assert standing.values["cancer_history"] == Choice(("never",))
    assert "cancer_history" not in stand(VOCABULARY, case).values
    kept = {name: found for name, found in told_now.answers.items() if name != "cancer_history"}
    assert kept == {n: found for n, found in case.answers.items() if n != "cancer_history"}


def test_an_answer_of_a_level_stands_at_that_level_only() -> None:
    case = fixture("clinic-6-slip-and-group")
    level = case.segments[0].level if case.segments else ""
    said = Reply("segment.mobility", level, Choice(("loose",)))
    values = stand(VOCABULARY, told(VOCABULARY, case, [said])).values
    assert values[f"segment.mobility@{level}"] == Choice(("loose",))
    assert [v for n, v in values.items() if n.startswith("segment.mobility")].count(
        Choice(("loose",))
    ) == 1


def test_todays_answer_takes_the_place_of_todays_doubt() -> None:
    raw = data("screen-cancer-not-asked")
    raw["answers"]["fall"] = None
    raw["answers"].pop("fall")
    raw["answers"]["cancer_history"] = {"missing": "declined"}
    case = read_case(VOCABULARY, raw)
    told_now = told(VOCABULARY, case, [Reply("cancer_history", None, Choice(("never",)))])
    assert stand(VOCABULARY, told_now).values["cancer_history"] == Choice(("never",))


def test_a_positive_told_after_its_end_of_the_same_day_stands() -> None:
    raw = data("screen-cancer-not-asked")
    day = raw["as_of"]
    raw["answers"]["frail"] = {"value": "yes", "observed": "2026-01-05"}
    raw["resolved"] = [{"finding": "frail", "on": day, "how": "specialist", "by": "s-1"}]
    case = read_case(VOCABULARY, raw)
    if "frail" in stand(VOCABULARY, case).values:
        raise AssertionError("the resolution was meant to end it")
    told_now = told(VOCABULARY, case, [Reply("frail", None, YES)])
    assert stand(VOCABULARY, told_now).values["frail"] == YES


def test_consent_entered_today_is_consent_of_today() -> None:
    case = fixture("consent-not-sent")
    found = told(VOCABULARY, case, [Entry("consents", "today", AND_THRUST)])
    assert [c.family for c in found.consents] == ["hands_on", "thrust"]
    assert {c.on for c in found.consents} == {case.as_of}


def test_an_entry_of_the_last_session_changes_that_session_alone() -> None:
    case = fixture("clinic-2-flat-course")
    found = told(VOCABULARY, case, [Entry("course", "settled", "longer")])
    assert found.course and case.course
    assert found.course[-1].settled == "longer"
    assert found.course[:-1] == case.course[:-1]


def test_the_case_can_be_sent_again() -> None:
    case = fixture("screen-cancer-not-asked")
    found = told(
        VOCABULARY, case, [Reply("cancer_history", None, Choice(("never",))),
                           Entry("consents", "today", "none")],
    )  # fmt: skip
    again = read_case(VOCABULARY, case_json(VOCABULARY, found))
    assert stand(VOCABULARY, again).values == stand(VOCABULARY, found).values
    assert again.consents == found.consents


def test_what_was_said_is_plain_json() -> None:
    assert said_json(VOCABULARY, Reply("segment.mobility", "L5", Choice(("loose",)))) == {
        "finding": "segment.mobility", "level": "L5", "value": "loose",
    }  # fmt: skip
    assert said_json(VOCABULARY, Entry("course", "settled", "longer")) == {
        "record": "course.settled", "value": "longer",
    }  # fmt: skip
