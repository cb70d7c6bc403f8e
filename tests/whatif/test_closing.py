"""Closing a visit, and the visit after it."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case, Given, Segment, Step
from cds.vocabulary.reading import read_case
from cds.vocabulary.write import case_json
from cds.whatif.closing import Closing, NotAdvisedError, close, offer, record
from tests.whatif.cases import data, fixture, shipped

VOCABULARY = shipped().vocabulary
RUNGS = ("mobilization_2", "mobilization_3", "mobilization_4", "muscle_energy")
DONE = tuple(Given("L5", rung) for rung in RUNGS)


def closed(name: str, closing: Closing) -> Case:
    return close(shipped(), fixture(name), closing)


def next_visit(found: dict[str, Any], days: int, **more: Any) -> Case:
    """The record some days later, at the start of the next visit."""
    first = read_case(VOCABULARY, found)
    found = {**found, "as_of": (first.as_of + timedelta(days=days)).isoformat(), **more}
    return read_case(VOCABULARY, found)


def test_the_three_answers_become_the_last_session_of_the_course() -> None:
    before = fixture("clinic-9-latch-in-session")
    found = close(shipped(), before, Closing(DONE, "mild", 3))
    assert before.course is not None and found.course is not None
    assert found.course[:-1] == before.course
    session = found.course[-1]
    assert session.on == before.as_of
    assert session.therapist == before.clinician
    assert session.given == DONE
    assert (session.guarding_after, session.pain_after) == ("mild", 3)
    standing = stand(VOCABULARY, before).values
    assert session.guarding_before == standing["guarding"].exact  # type: ignore[union-attr]
    assert session.pain_before == standing["pain"].exact  # type: ignore[union-attr]
    assert session.advised == shipped().decide(before)["path"]["up_to"]["now"]


def test_what_the_steps_showed_is_folded_in() -> None:
    session = (closed("clinic-9-latch-in-session", Closing(DONE, "mild", 3)).course or ())[-1]
    assert session.worsened_at == "mobilization_4"
    before = fixture("clinic-9-latch-in-session")
    steps = (Step("muscle_energy", "L5", "none", 2, "distal", "yes"),)
    seen = close(shipped(), replace(before, steps=steps), Closing(DONE, "none", 2))
    session = (seen.course or ())[-1]
    assert (session.spread, session.stop_sign) == ("distal", "yes")
    assert session.worsened_at == "muscle_energy"


def test_a_quiet_session_says_that_nothing_worsened() -> None:
    before = fixture("clinic-1-acute-pattern")
    quiet = Step("muscle_energy", "L5", "none", 2, "none", "no")
    found = close(
        shipped(), replace(before, moment="during_session", steps=(quiet,)),
        Closing(DONE[-1:], "none", 2),
    )  # fmt: skip
    session = (found.course or ())[-1]
    assert (session.worsened_at, session.spread, session.stop_sign) == ("none", "none", "no")


def test_without_steps_what_they_would_have_shown_is_unknown() -> None:
    session = (closed("clinic-1-acute-pattern", Closing(DONE[-1:], None, None)).course or ())[-1]
    assert (session.worsened_at, session.spread, session.stop_sign) == (None, None, None)
    assert (session.guarding_after, session.pain_after) == (None, None)


def test_how_it_settled_is_left_to_the_next_visit() -> None:
    session = (closed("clinic-9-latch-in-session", Closing(DONE, "mild", 3)).course or ())[-1]
    assert (session.settled, session.comparable_sign, session.adverse) == (None, None, None)


def test_answers_keep_their_dates_and_those_of_the_day_grow_old() -> None:
    found = record(shipped(), fixture("clinic-9-latch-in-session"), Closing(DONE, "mild", 3))
    later = next_visit(found, 5)
    today = fixture("clinic-9-latch-in-session").as_of
    assert all(a.observed <= today for answers in later.answers.values() for a in answers)
    standing = stand(VOCABULARY, later)
    assert "pain" not in standing.values
    assert "guarding" not in standing.values
    assert "cancer_history" in standing.values


def test_the_record_reads_back_as_it_was() -> None:
    found = closed("clinic-9-latch-in-session", Closing(DONE, "mild", 3))
    again = read_case(VOCABULARY, case_json(VOCABULARY, found))
    assert again.course == found.course
    assert stand(VOCABULARY, again).values == stand(VOCABULARY, found).values
    assert shipped().decide(again) == shipped().decide(found)


def test_the_next_visit_goes_no_higher_than_the_rung_below_the_worsening() -> None:
    """Clinic case 9, closed and taken up a week later, with the day's questions answered anew."""
    raw = data("clinic-9-next-visit")
    found = record(shipped(), fixture("clinic-9-latch-in-session"), Closing(DONE, "mild", 3))
    later = next_visit(found, 7)
    course = [dict(session) for session in found["course"]]
    course[-1].update({"settled": "within_24h", "comparable_sign": "better", "adverse": "none"})
    raw.update({"as_of": later.as_of.isoformat(), "course": course})
    raw["consents"] = [{**c, "on": raw["as_of"]} for c in raw["consents"]]
    advice = shipped().decide(read_case(VOCABULARY, raw))
    assert advice["path"]["up_to"]["now"] == "mobilization_3"
    fired = {s["rule"] for s in advice["chain"]["steps"] if s["status"] == "fired"}
    assert {"worsened-last-time-grade-three", "worsened-last-time-thrust"} <= fired


def test_before_the_days_questions_the_next_visit_is_not_settled() -> None:
    found = record(shipped(), fixture("clinic-9-latch-in-session"), Closing(DONE, "mild", 3))
    advice = shipped().decide(next_visit(found, 7))
    assert advice["status"] == "ask_first"
    owed = {q["finding"] for q in advice["open_questions"] if q["owed"]}
    assert "guarding" in owed or "pain" in owed


def test_palpated_sides_do_not_go_on_but_known_levels_do() -> None:
    before = fixture("clinic-6-slip-and-group")
    found = close(shipped(), before, Closing((Given("L2", "muscle_energy"),), "mild", 3))
    kept: tuple[Segment, ...] = found.segments or ()
    assert kept
    assert all((s.flexion, s.neutral, s.extension) == (None, None, None) for s in kept)
    assert {s.level: s.answers for s in kept} == {
        s.level: s.answers for s in before.segments or () if s.answers
    }
    assert found.clinician is None


def test_a_referral_is_recorded_only_when_it_was_made() -> None:
    name = "clinic-5-young-gymnast"
    offered = offer(shipped(), fixture(name))["referrals"]
    assert offered
    without = closed(name, Closing((), None, None))
    assert without.referrals == fixture(name).referrals
    to = offered[0]["to"]
    made = closed(name, Closing((), None, None, (to,)))
    entry = made.referrals[-1]
    assert (entry.to, entry.urgency, entry.on) == (to, offered[0]["urgency"], made.as_of)
    assert made.referrals_sent
    assert entry.outcome is None


def test_a_referral_that_was_not_advised_is_refused() -> None:
    with pytest.raises(NotAdvisedError) as caught:
        closed("clinic-9-next-visit", Closing((), None, None, ("emergency_department",)))
    assert caught.value.place == 0


def test_steps_done_are_offered_and_else_only_where_the_path_starts() -> None:
    done = offer(shipped(), fixture("clinic-9-latch-in-session"))["done"]
    assert {entry["rung"] for entry in done} == {
        step.rung for step in fixture("clinic-9-latch-in-session").steps or ()
    }
    advice = shipped().decide(fixture("clinic-1-acute-pattern"))
    done = offer(shipped(), fixture("clinic-1-acute-pattern"))["done"]
    assert [entry["rung"] for entry in done] == [advice["path"]["start_at"]]


def test_visit_after_visit_the_course_grows_by_three_answers_each() -> None:
    """Closed, sent on as plain JSON, answered anew a few days later, closed again: nothing lost."""
    answers = data("clinic-1-acute-pattern")["answers"]
    sent = data("clinic-1-acute-pattern")
    read = read_case(VOCABULARY, sent)
    told = [("mild", 4), ("none", 2), (None, 1)]
    before = len(read.course or ())
    days = []
    for guarding, pain in told:
        days.append(read.as_of)
        done = tuple(Given(o["level"], o["rung"]) for o in offer(shipped(), read)["done"])
        again = json.loads(json.dumps(record(shipped(), read, Closing(done, guarding, pain))))
        again["as_of"] = (read.as_of + timedelta(days=4)).isoformat()
        for name in ("guarding", "pain"):  # the day's questions, answered anew
            value = answers[name]["value"] if isinstance(answers[name], dict) else answers[name]
            again["answers"][name] = value
        read = read_case(VOCABULARY, again)
        assert shipped().decide(read)["headline"]["text"]
    course = (read.course or ())[before:]
    assert [session.on for session in course] == days
    assert [(s.guarding_after, s.pain_after) for s in course] == told
