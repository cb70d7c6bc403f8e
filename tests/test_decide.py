"""Whole advice on the small book and the shipped one: its parts, bounds and boundaries."""

import copy
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random
from typing import Any, get_type_hints

import pytest

from cds import decide as module
from cds.canon import canonical
from cds.decide import Decider, decide
from cds.rulebook.vetting import load_program
from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.support.expected import floats, forbidden
from tests.support.randomcase import random_case
from tests.support.shipped import demo

ROOT = Path(__file__).parents[1]


@cache
def base() -> Decider:
    return Decider(load_program(ROOT / "tests" / "rulebook" / "base"))


@cache
def shipped() -> Decider:
    return Decider(load_program(ROOT / "rules"))


SETTLED: dict[str, Any] = {
    "as_of": "2026-11-20", "moment": "before_session", "patient": {"age": 34},
    "answers": {"saddle_sensation": "normal", "leg_symptoms": "no", "fall": "no",
                "temperature": 36, "flares": 0},
    "segments": [{"level": "L5", "answers": {"provocation": "concordant"},
                  "prominent": {"flexion": "symmetric", "neutral": "left", "extension": "left"}}],
    "course": [{"on": f"2026-{month:02}-01"} for month in (6, 7, 8, 9, 10)],
}  # fmt: skip


def advise(decider: Decider | None = None, **changed: Any) -> Advice:
    data = copy.deepcopy(SETTLED)
    data["answers"] |= changed.pop("answers", {})
    decider = decider or base()
    return decider.decide(read_case(decider.vocabulary, {**data, **changed}))


def test_everything_answered_gives_the_whole_ladder() -> None:
    advice = advise()
    assert (advice["headline"]["kind"], advice["status"]) == ("hands_on", "settled")
    assert [step["rung"] for step in advice["path"]["steps"]] == [
        "muscle_energy", "mobilization_1", "mobilization_2", "mobilization_3", "mobilization_4",
        "thrust",
    ]  # fmt: skip
    assert set(advice["path"]["up_to"].values()) == {"thrust"}
    assert advice["open_questions"] == []
    assert advice["why_not"] == []


def test_steps_carry_the_gate_before_them() -> None:
    gates = {step["rung"]: step["gate"] for step in advise()["path"]["steps"]}
    assert gates["thrust"] == ["Consent said aloud."]
    assert gates["mobilization_1"] == []


def test_the_session_before_the_floor_has_no_thrust() -> None:
    """The fifth session is the first that reaches a floor of five."""
    for earlier, most in ((4, "thrust"), (3, "exercise_only")):
        assert advise(course=SETTLED["course"][:earlier])["path"]["up_to"]["now"] == most


def test_a_segment_says_what_was_palpated_and_how_far_to_trust_it() -> None:
    segment = advise()["segments"][0]
    assert (segment["level"], segment["order"], segment["treat_today"]) == ("L5", 1, True)
    assert (segment["pattern"], segment["sides"]) == ("flexed", {"flexed": "left"})
    assert segment["confidence"] == "low"
    assert "kappa" in segment["reliability"]
    assert segment["indicated"] == ["muscle_energy", "mobilization", "thrust"]
    assert [card["id"] for card in segment["cards"]] == ["flexed-side-lying"]


def test_a_level_that_is_not_treated_has_no_card() -> None:
    levels = [
        {**SETTLED["segments"][0], "level": level, "answers": {"provocation": "concordant"}}
        for level in ("L3", "L4", "L5")
    ]
    segments = advise(segments=levels)["segments"]
    assert [s["treat_today"] for s in segments].count(True) == 2
    assert all(bool(s["cards"]) == s["treat_today"] for s in segments)
    assert [s["order"] for s in segments] == [1, 2, 3]


def test_no_answers_at_all_hold_hands_on_and_ask() -> None:
    advice = decide(
        base().program,
        read_case(base().vocabulary, {"as_of": "2026-11-20", "moment": "before_session"}),
    )
    assert (advice["status"], advice["headline"]["kind"]) == ("ask_first", "not_settled")
    assert advice["path"]["steps"] == []
    assert advice["path"]["up_to"]["least_careful"] == "thrust"
    first = advice["open_questions"][:2]
    assert {q["finding"] for q in first} == {"leg_symptoms", "saddle_sensation"}
    assert all(q["holds_hands_on"] for q in first)
    assert not any(q["holds_hands_on"] for q in advice["open_questions"][2:])
    assert advice["care_today"]["most_careful"] == "no_hands_on"


def test_altered_saddle_sensation_is_an_emergency_whatever_else_is_said() -> None:
    advice = advise(answers={"saddle_sensation": "altered"})
    assert (advice["headline"]["kind"], advice["status"]) == ("emergency", "stopped")
    assert advice["path"]["up_to"]["least_careful"] == "no_treatment"
    assert advice["referrals"][0]["within"] == "at once"
    assert advice["segments"][0]["cards"] == []


@pytest.mark.parametrize(("power", "kind"), [(3, "emergency"), (4, "hands_on")])
def test_a_number_decides_at_its_boundary(power: int, kind: str) -> None:
    advice = advise(answers={"leg_symptoms": "yes", "leg_power": power})
    assert advice["headline"]["kind"] == kind


@pytest.mark.parametrize(
    ("patient", "barred", "still_open"),
    [({"age": 70}, True, False), ({"age": 69}, False, False), ({"born": "1956"}, False, True)],
)
def test_age_decides_at_its_boundary_and_a_partial_one_stays_open(
    patient: dict[str, Any], barred: bool, still_open: bool
) -> None:
    """A year of birth that may be 69 or 70: the rule is open, and this one holds nothing."""
    advice = advise(patient=patient, answers={"fall": "yes"})
    case_wide = {entry["family"] for entry in advice["limits"] if "level" not in entry}
    assert ("thrust" in case_wide) == barred
    opened = {entry["rule"] for entry in advice["chain"]["open"]}
    assert ("hot-after-fall" in opened) == still_open


def test_sources_are_those_of_the_steps_cards_and_exercises() -> None:
    assert [source["id"] for source in advise()["sources"]] == ["made-up-2020", "other-guide"]
    assert {source["id"]: source.get("year") for source in advise()["sources"]} == {
        "made-up-2020": 2020, "other-guide": None,
    }  # fmt: skip


def test_an_advice_names_its_edition_and_its_scope() -> None:
    advice, program = advise(), base().program
    assert advice["edition"] == {"title": "Small book", "language": 1, "digest": program.digest}
    assert advice["scope_notice"][0] == "Local codes come first."
    assert (advice["as_of"], advice["moment"], advice["detail"]) == (
        "2026-11-20", "before_session", "full",
    )  # fmt: skip


@pytest.mark.parametrize(("make", "count"), [(base, 150), (shipped, 25)])
def test_what_holds_of_every_advice(make: Any, count: int) -> None:
    """Its declared keys, plain JSON without floats, no forbidden word, and the case untouched."""
    decider = make()
    rng = Random(77)
    for _ in range(count):
        data: Any = random_case(rng, decider.vocabulary)
        case = read_case(decider.vocabulary, data)
        before = copy.deepcopy(case)
        advice = decider.decide(case)
        assert case == before
        assert list(advice) == list(get_type_hints(Advice))
        assert not floats(advice)
        assert not forbidden(advice)
        levels = [segment["level"] for segment in advice["segments"]]
        assert sorted(levels) == sorted(advice["chain"]["levels"])
        treated = [s for s in advice["segments"] if s["treat_today"]]
        assert len(treated) <= 2
        assert all(s["path"]["steps"] for s in treated)
        assert advice["path"]["steps"] == [] or treated
        place = decider.resolver.place
        for segment in advice["segments"]:
            steps = [place[step["rung"]] for step in segment["path"]["steps"]]
            assert steps == sorted(set(steps))
            if steps:
                assert segment["path"]["start_at"] == segment["path"]["steps"][0]["rung"]
                assert segment["path"]["up_to"]["now"] == segment["path"]["steps"][-1]["rung"]
                assert steps[-1] <= place[segment["path"]["target"]]


def test_the_demonstration_s_visits_differ() -> None:
    first, sixth = (
        shipped().decide(read_case(shipped().vocabulary, demo(name)["case"]))
        for name in ("first_visit", "sixth_visit")
    )
    assert canonical(first) != canonical(sixth)
    assert first["headline"]["kind"] == sixth["headline"]["kind"] == "hands_on"
    place = shipped().resolver.place
    assert place[first["path"]["up_to"]["now"]] < place[sixth["path"]["up_to"]["now"]]


def test_one_decider_for_a_program_and_never_that_of_another() -> None:
    """An equal digest is not enough: a program read anew gets its own decider."""
    case = read_case(base().vocabulary, SETTLED)
    wanted = canonical(base().decide(case))
    other = load_program(ROOT / "tests" / "rulebook" / "base")
    for program in (base().program, other, base().program, base().program):
        assert canonical(decide(program, case)) == wanted
        assert module._DECIDERS[program.digest].program is program
    kept = module._DECIDERS[base().program.digest]
    decide(base().program, case)
    assert module._DECIDERS[base().program.digest] is kept


def test_deciding_many_programs_keeps_few() -> None:

    case = read_case(base().vocabulary, SETTLED)
    for number in range(20):
        decide(replace(base().program, digest=f"sha256:{number}"), case)
        assert len(module._DECIDERS) <= 8
