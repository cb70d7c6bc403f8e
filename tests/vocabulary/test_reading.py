"""A case is read whole, or refused whole with every problem at its pointer."""

from __future__ import annotations

import copy
import json
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cds.problems import CaseError, Problem
from cds.vocabulary.codes import CASE_CODES
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Choice, Missing
from tests.vocabulary.sample import FULL, VOCAB, ago, case

SECRET = "zebra-7731"


def problems(data: object) -> tuple[Problem, ...]:
    with pytest.raises(CaseError) as caught:
        read_case(VOCAB, data)
    return caught.value.problems


def answers(**given: Any) -> dict[str, Any]:
    return case(answers=given)


def level(**given: Any) -> dict[str, Any]:
    return case(segments=[{"level": "L5", "answers": given}])


def saddle(**more: Any) -> dict[str, Any]:
    return answers(saddle_sensation={"value": "normal", **more})


def session(**more: Any) -> dict[str, Any]:
    return case(course=[{"on": ago(7), **more}])


PLANTED: list[tuple[str, object, str]] = [
    ("wrong-type", [], ""),
    ("wrong-type", None, ""),
    ("wrong-type", {1: 2}, ""),
    ("wrong-type", case(subject=7), "/subject"),
    ("wrong-type", case(patient=None), "/patient"),
    ("wrong-type", case(segments={}), "/segments"),
    ("wrong-type", answers(leg_symptoms=True), "/answers/leg_symptoms"),
    ("wrong-type", answers(pain="3"), "/answers/pain"),
    ("wrong-type", answers(pain=True), "/answers/pain"),
    ("wrong-type", answers(operated_on=2019), "/answers/operated_on"),
    ("wrong-type", answers(pain=[3]), "/answers/pain/0"),
    ("wrong-type", level(provocation=None), "/segments/0/answers/provocation"),
    ("missing-key", {"as_of": ago(0)}, ""),
    ("missing-key", {"moment": "contact"}, ""),
    ("missing-key", case(segments=[{}]), "/segments/0"),
    ("missing-key", case(course=[{}]), "/course/0"),
    ("missing-key", case(today={"steps": [{}]}, moment="after_session"), "/today/steps/0"),
    ("missing-key", saddle(how="confirmed_unchanged"), "/answers/saddle_sensation"),
    ("missing-key", case(consents=[{"family": "thrust", "on": ago(1), "by": "x"}]), "/consents/0"),
    ("missing-key", answers(weakness={"value": {}}), "/answers/weakness/value"),
    ("unknown-key", case(momentum=1), "/momentum"),
    ("unknown-key", saddle(obs=ago(1)), "/answers/saddle_sensation/obs"),
    ("unknown-key", case(**{"a/b~": 1}), "/a~1b~0"),
    ("unknown-key", case(clinician={"training": {"home_flexion": "yes"}}),
     "/clinician/training/home_flexion"),
    ("unknown-finding", answers(sadle_sensation="normal"), "/answers/sadle_sensation"),
    ("unknown-finding", level(mobility="stiff"), "/segments/0/answers/mobility"),
    ("unknown-finding", case(resolved=[{"finding": "x", "on": ago(1), "how": "asked", "by": "t"}]),
     "/resolved/0/finding"),
    ("wrong-scope", answers(provocation="local"), "/answers/provocation"),
    ("wrong-scope", answers(**{"segment.provocation": "local"}), "/answers/segment.provocation"),
    ("wrong-scope", level(**{"segment.provocation": "none"}),
     "/segments/0/answers/segment.provocation"),
    ("wrong-scope", level(pain=3), "/segments/0/answers/pain"),
    ("wrong-scope", case(resolved=[{"finding": "segment.slip", "on": ago(1), "how": "asked",
                                    "by": "t"}]), "/resolved/0"),
    ("wrong-scope", case(resolved=[{"finding": "bladder", "level": "L5", "on": ago(1),
                                    "how": "asked", "by": "t"}]), "/resolved/0"),
    ("unknown-block", case(blocks={"seriously": "none_of_these"}), "/blocks/seriously"),
    ("unknown-level", case(segments=[{"level": "L6"}]), "/segments/0/level"),
    ("unknown-level", session(given=[{"level": "C5", "rung": "gentle"}]),
     "/course/0/given/0/level"),
    ("duplicate-level", case(segments=[{"level": "L5"}, {"level": "L5"}]), "/segments/1/level"),
    ("unknown-rung", session(advised="thrusting"), "/course/0/advised"),
    ("unknown-rung", session(given=[{"level": "L5", "rung": SECRET}]), "/course/0/given/0/rung"),
    ("wrong-value", answers(saddle_sensation=SECRET), "/answers/saddle_sensation"),
    ("wrong-value", case(blocks={"serious": SECRET}), "/blocks/serious"),
    ("wrong-value", answers(weakness={"missing": "absent"}), "/answers/weakness/missing"),
    ("wrong-value", case(patient={"sex": SECRET}), "/patient/sex"),
    ("wrong-value", case(segments=[{"level": "L5", "prominent": {"flexion": "none"}}]),
     "/segments/0/prominent/flexion"),
    ("wrong-value", session(guarding_before=SECRET), "/course/0/guarding_before"),
    ("wrong-value", case(referrals=[{"to": "physician", "urgency": "none", "on": ago(1)}]),
     "/referrals/0/urgency"),
    ("wrong-value", case(moment="now"), "/moment"),
    ("bad-text", case(subject=""), "/subject"),
    ("bad-text", case(subject="x" * 129), "/subject"),
    ("bad-text", case(subject="a\nb"), "/subject"),
    ("bad-date", {"as_of": "2026-02-29", "moment": "contact"}, "/as_of"),
    ("bad-date", {"as_of": "20261120", "moment": "contact"}, "/as_of"),
    ("bad-date", {"as_of": "2026-11", "moment": "contact"}, "/as_of"),
    ("bad-date", saddle(observed="2026-11"), "/answers/saddle_sensation/observed"),
    ("bad-date", answers(operated_on="2019-13"), "/answers/operated_on"),
    ("bad-date", answers(operated_on="٢٠١٩"), "/answers/operated_on"),
    ("bad-date", case(patient={"born": "92"}), "/patient/born"),
    ("date-order", saddle(observed=ago(1), asked=ago(2)), "/answers/saddle_sensation/asked"),
    ("date-order", case(referrals=[{"to": "physician", "urgency": "urgent", "on": ago(1),
                                    "outcome": "lost", "outcome_on": ago(2)}]),
     "/referrals/0/outcome_on"),
    ("date-order", case(consents=[{"family": "thrust", "region": "r", "on": ago(1), "by": "x",
                                   "withdrawn": ago(2)}]), "/consents/0/withdrawn"),
    ("date-after-as-of", saddle(observed=ago(-1)), "/answers/saddle_sensation/observed"),
    ("date-after-as-of", case(course=[{"on": ago(-1)}]), "/course/0/on"),
    ("date-after-as-of", answers(operated_on="2026-12"), "/answers/operated_on"),
    ("date-after-as-of", case(patient={"born": "2027"}), "/patient/born"),
    ("bad-number", session(pain_before=3.5), "/course/0/pain_before"),
    ("not-whole-step", answers(pain=2.5), "/answers/pain"),
    ("not-whole-step", answers(t_score=-2.15), "/answers/t_score"),
    ("not-whole-step", answers(dose=7), "/answers/dose"),
    ("out-of-range", answers(pain=11), "/answers/pain"),
    ("out-of-range", answers(falls=-1), "/answers/falls"),
    ("out-of-range", answers(falls=2**60), "/answers/falls"),
    ("out-of-range", answers(t_score=float("nan")), "/answers/t_score"),
    ("out-of-range", session(pain_after=11), "/course/0/pain_after"),
    ("out-of-range", case(patient={"age": 121}), "/patient/age"),
    ("out-of-range", case(patient={"born": "1899"}), "/patient/born"),
    ("out-of-range", case(segments=[{"level": "L5", "grades": {"neutral": 4}}]),
     "/segments/0/grades/neutral"),
    ("bad-interval", answers(pain={"value": {}}), "/answers/pain/value"),
    ("bad-interval", answers(pain={"value": {"at_least": 6, "at_most": 5}}), "/answers/pain/value"),
    ("bad-interval", answers(pain={"value": {"more_than": 10}}), "/answers/pain/value/more_than"),
    ("bad-interval", answers(operated_on={"value": {"more_than": ago(0)}}),
     "/answers/operated_on/value/more_than"),
    ("bad-interval", answers(operated_on={"value": {"less_than": "0001"}}),
     "/answers/operated_on/value/less_than"),
    ("bad-interval", answers(weakness={"value": {"one_of": []}}), "/answers/weakness/value/one_of"),
    ("bad-interval", answers(weakness={"value": {"one_of": ["none", "none"]}}),
     "/answers/weakness/value/one_of"),
    ("bad-interval", case(patient={"age": {"at_least": 5, "at_most": 4}}), "/patient/age"),
    ("value-or-missing", answers(weakness={}), "/answers/weakness"),
    ("value-or-missing", answers(weakness={"value": "none", "missing": "declined"}),
     "/answers/weakness"),
    ("one-of-two", answers(pain={"value": {"at_least": 3, "more_than": 3}}), "/answers/pain/value"),
    ("one-of-two", case(patient={"age": 30, "born": "1996"}), "/patient"),
    ("too-many", case(course=[{"on": ago(1)}] * 501), "/course"),
    ("empty-list", answers(weakness=[]), "/answers/weakness"),
    ("confirmations", saddle(confirmations=1), "/answers/saddle_sensation/confirmations"),
    ("asked-alone", saddle(how="by_block"), "/answers/saddle_sensation/how"),
    ("asked-alone", answers(bladder={"value": "normal", "how": "by_block"}),
     "/answers/bladder/how"),
    ("does-not-apply", answers(leg_symptoms="no", leg_side="left"), "/answers/leg_side"),
    ("does-not-apply", level(slip="no", slip_grade="one"), "/segments/0/answers/slip_grade"),
    ("does-not-apply", answers(past_menopause="yes", pregnant="no"), "/answers/pregnant"),
    ("not-a-moment-for", case(today={"steps": []}), "/today/steps"),
    ("not-a-moment-for", case(today={"steps": []}, moment="contact"), "/today/steps"),
    ("not-oldest-first", case(course=[{"on": ago(3)}, {"on": ago(4)}]), "/course/1/on"),
    ("not-positive", case(resolved=[{"finding": "past_menopause", "on": ago(1), "how": "asked",
                                     "by": "t"}]), "/resolved/0/finding"),
    ("not-positive", case(resolved=[{"finding": "pain", "on": ago(1), "how": "asked", "by": "t"}]),
     "/resolved/0/finding"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "data", "pointer"), PLANTED)
def test_each_code(code: str, data: object, pointer: str) -> None:
    found = problems(data)
    assert [(p.code, p.pointer) for p in found] == [(code, pointer)]
    assert SECRET not in found[0].message + (found[0].help or "")


def test_every_code_is_planted() -> None:
    assert {code for code, _, _ in PLANTED} == set(CASE_CODES)


def test_all_problems_are_reported_at_once() -> None:
    found = problems(
        {
            "as_of": "2026-11-20",
            "moment": "later",
            "patent": {},
            "answers": {"leg_symptoms": "maybe", "pain": 12, "sadle_sensation": "normal"},
            "segments": [{"level": "L9"}, {"level": "L5", "answers": {"slip": 1}}],
            "course": [{"on": "soon"}],
        }
    )
    assert [(p.pointer, p.code) for p in found] == [
        ("/answers/leg_symptoms", "wrong-value"),
        ("/answers/pain", "out-of-range"),
        ("/answers/sadle_sensation", "unknown-finding"),
        ("/course/0/on", "bad-date"),
        ("/moment", "wrong-value"),
        ("/patent", "unknown-key"),
        ("/segments/0/level", "unknown-level"),
        ("/segments/1/answers/slip", "wrong-type"),
    ]
    helped = {p.pointer: p.help for p in found}
    assert helped["/patent"] == "did you mean `patient`?"
    assert helped["/answers/sadle_sensation"] == "did you mean `saddle_sensation`?"


def test_messages_name_the_finding_and_what_is_allowed() -> None:
    (found,) = problems(answers(weakness=SECRET))
    assert found.message == "`weakness` must be `none`, `mild` or `severe`"
    (found,) = problems(answers(t_score=-99))
    assert found.message == "`t_score` must lie between -6 and 6"


def test_the_short_form_is_true_of_the_as_of_date() -> None:
    (answer,) = read_case(VOCAB, answers(weakness="none")).answers["weakness"]
    assert (answer.observed, answer.asked, answer.how) == (date(2026, 11, 20),) * 2 + ("asked",)


def test_asked_is_the_day_observed_unless_confirmed() -> None:
    read = read_case(VOCAB, saddle(observed=ago(3)))
    assert read.answers["saddle_sensation"][0].asked == date(2026, 11, 17)
    read = read_case(VOCAB, saddle(observed=ago(3), how="confirmed_unchanged"))
    (answer,) = read.answers["saddle_sensation"]
    assert (answer.asked, answer.confirmations) == (date(2026, 11, 20), 1)


def test_nothing_sent_is_unknown_and_an_empty_list_is_none() -> None:
    bare = read_case(VOCAB, case())
    assert (bare.segments, bare.course, bare.steps) == (None, None, None)
    assert not (bare.referrals_sent or bare.consents_sent)
    empty = read_case(VOCAB, case(segments=[], course=[], referrals=[], consents=[]))
    assert (empty.segments, empty.course) == ((), ())
    assert empty.referrals_sent
    assert empty.consents_sent


def test_order_of_levels_and_findings_has_no_meaning() -> None:
    turned = copy.deepcopy(FULL)
    turned["segments"].reverse()
    turned["answers"] = dict(reversed(turned["answers"].items()))
    first, second = read_case(VOCAB, FULL), read_case(VOCAB, turned)
    assert [s.level for s in first.segments or ()] == ["L2", "L5"]
    assert list(first.answers) == list(second.answers)


def block(said: object, **given: Any) -> dict[str, tuple[object, str]]:
    read = read_case(VOCAB, case(blocks={"serious": said}, answers=given)).answers
    return {name: (found[-1].value, found[-1].how) for name, found in read.items()}


def test_a_block_answers_what_was_not_asked_for_itself() -> None:
    no = (Choice(("no",)), "by_block")
    assert block("none_of_these", fever="yes") == {
        "fever": (Choice(("yes",)), "asked"),
        "cancer_ever": no,
        "slip_known": no,
        "pregnant": no,
        "infection_risk": (Choice(("none",)), "by_block"),
    }


def test_a_block_never_answers_what_is_asked_alone_or_is_a_number_or_of_a_level() -> None:
    assert not {"leg_symptoms", "pain", "segment.slip"} & set(block("none_of_these"))


def test_a_block_adds_to_an_older_answer() -> None:
    found = block("none_of_these", fever={"value": "no", "observed": ago(5)})
    assert found["fever"] == (Choice(("no",)), "by_block")
    older = block({"value": "none_of_these", "observed": ago(9)}, fever={"missing": "declined"})
    assert older["fever"] == (None, "asked")


def test_a_block_says_nothing_of_a_finding_that_does_not_apply() -> None:
    assert "pregnant" not in block("none_of_these", past_menopause="yes")


def test_a_block_may_be_declined_or_confirmed() -> None:
    read = read_case(VOCAB, case(blocks={"serious": {"missing": "declined"}}))
    assert read.answers["fever"][0].missing is Missing.DECLINED
    confirmed = {"value": "none_of_these", "observed": ago(9), "how": "confirmed_unchanged"}
    assert block(confirmed)["fever"] == (Choice(("no",)), "confirmed_unchanged")


def test_history_of_a_finding_that_no_longer_applies_is_not_an_error() -> None:
    old = {"value": "left", "observed": ago(9)}
    read_case(VOCAB, answers(leg_symptoms="no", leg_side=old))
    same_day = {"value": "no", "observed": ago(9)}
    assert problems(answers(leg_symptoms=[same_day, {"value": "no"}], leg_side="left"))


JSONS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=9),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=9), inner),
    max_leaves=9,
)


@given(JSONS)
def test_any_json_is_read_or_refused(data: object) -> None:
    try:
        read_case(VOCAB, data)
    except CaseError as error:
        assert all(problem.code in CASE_CODES for problem in error.problems)


def places(tree: object, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    members = (
        tree.items()
        if isinstance(tree, dict)
        else enumerate(tree)
        if isinstance(tree, list)
        else ()
    )
    return [at, *(place for key, inner in members for place in places(inner, (*at, key)))]


def planted(tree: Any, place: tuple[Any, ...], value: object) -> Any:
    if not place:
        return value
    found = copy.deepcopy(tree)
    inner = found
    for key in place[:-1]:
        inner = inner[key]
    inner[place[-1]] = value
    return found


def resolve(tree: Any, pointer: str) -> Any:
    for part in pointer.split("/")[1:]:
        key = part.replace("~1", "/").replace("~0", "~")
        tree = tree[int(key)] if isinstance(tree, list) else tree[key]
    return tree


PLACES = places(FULL)


@settings(max_examples=300)
@given(st.sampled_from(PLACES), JSONS | st.sampled_from(["left", ago(0), "2026", "yes", 3]))
def test_anything_anywhere_in_a_full_case_is_read_or_refused_where_it_is(
    place: tuple[Any, ...], value: object
) -> None:
    data = planted(FULL, place, value)
    try:
        read_case(VOCAB, data)
    except CaseError as error:
        for problem in error.problems:
            assert problem.pointer is not None
            resolve(data, problem.pointer)


@pytest.mark.parametrize("place", PLACES)
def test_no_message_repeats_what_was_sent(
    place: tuple[Any, ...],
) -> None:
    with pytest.raises(CaseError) as caught:
        read_case(VOCAB, planted(FULL, place, [{SECRET: SECRET}]))
    said = json.dumps([(p.message, p.help) for p in caught.value.problems])
    assert SECRET not in said
