"""The one headline: each kind, exactly one, and which wins where several could."""

from pathlib import Path
from random import Random
from typing import Any

import pytest

from cds.decide import Decider
from cds.explain.effects import Effects
from cds.explain.headline import ASK_FIRST, SETTLED, STOPPED, Found, headline, status
from cds.explain.outcomes import WITHIN, bars_all, concerns, referrals
from cds.explain.questions import open_questions
from cds.rulebook.vetting import load_program
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Amount, Choice, Input, Missing
from tests.explain.seen import rule, see
from tests.support.expected import FORBIDDEN
from tests.support.randomcase import random_case
from tests.support.tiny import no, tiny, word, yes

ROOT = Path(__file__).parents[2]
KINDS = (
    "emergency", "refer", "no_hands_on", "not_settled", "contact", "after_session", "hands_on",
    "no_segment",
)  # fmt: skip


def when(finding: str) -> str:
    return f"{{finding: {finding}, is: yes}}"


WORTH = rule("worth", "{finding: segment.provocation, at_least: local}",
             "{segment.indication: {muscle_energy: true, mobilization: true, thrust: true}}",
             for_each="segment")  # fmt: skip
AIM = rule("aim", "{feature: moment, is: before_session}", "{target: mobilization_2}")
CAUDA = rule("saddle", when("numb"),
             "{concern: {fracture: emergency}, care_today: no_hands_on,"
             " referral: {to: hospital, urgency: emergency}}",
             "{limit: {hands_on: barred}}", basis="contraindication",
             title="Numb")  # fmt: skip
FELL = rule("fell", when("fall"), "{limit: {thrust: barred}}", basis="precaution")


def judge(
    rules: str, *levels: str, moment: str = "before_session", asked: str = "asked",
    lacking: tuple[str, ...] = ("numb", "fall"), step: str = "continue", **values: Input,
) -> tuple[str, str, str]:  # fmt: skip
    """(kind, text, status)."""
    given: dict[str, Input] = {**values, "moment": word(moment)}
    given |= {f"segment.provocation@{level}": word("local") for level in levels}
    seen = see(tiny(rules), given, *levels)
    missing = {name: Missing.NOT_ASKED for name in lacking if name not in values}
    program = seen.program
    found = Found(
        now=seen.paths.now,
        fired=seen.paths.fired,
        referrals=referrals(program, seen.readings),
        concerns=concerns(program, seen.readings),
        questions=open_questions(
            program, seen.readings, Effects(program), seen.run.node_state, missing
        ),
        moment=moment,
        asked=asked,
        treated=list(seen.paths.treated),
        barred_levels=seen.resolver.barred(seen.readings, seen.paths.now),
        next_step=step,
        **bars_all(program, seen.readings),
    )
    said = headline(program, seen.resolver, found)
    assert said["second"] == asked
    return said["kind"], said["text"], status(seen.resolver, found)


BOTH = WORTH + AIM + CAUDA + FELL


def test_hands_on_from_where_to_where() -> None:
    kind, text, state = judge(BOTH, "L5", numb=no(), fall=no())
    assert (kind, state) == ("hands_on", SETTLED)
    assert text == "Hands-on today: start at Muscle energy, no higher than Grade II"


def test_hands_on_at_one_rung() -> None:
    one = BOTH.replace("target: mobilization_2", "target: muscle_energy")
    assert judge(one, "L5", numb=no(), fall=no())[1] == "Hands-on today: Muscle energy, no higher"


def test_no_segment() -> None:
    assert judge(BOTH, numb=no(), fall=no())[::2] == ("no_segment", SETTLED)


def test_a_level_that_hurts_and_is_barred_is_not_called_no_segment() -> None:
    bars = rule("bars", when("fall"), "{segment.limit: {hands_on: barred}}",
                for_each="segment", basis="precaution")  # fmt: skip
    kind, text, state = judge(WORTH + AIM + bars, "L5", fall=yes())
    assert (kind, state) == ("no_segment", SETTLED)
    assert text == "No hands-on step is open at L5: exercise; see what bars it"


def test_an_emergency_names_the_concern_and_stops() -> None:
    kind, text, state = judge(BOTH, "L5", numb=yes(), fall=no())
    assert (kind, state) == ("emergency", STOPPED)
    assert text == (
        "Stop. Emergency referral now: possible fracture. "
        "Outside the scope of this service: stop, refer."
    )


def test_without_a_concern_the_destination_is_named() -> None:
    plain = BOTH.replace("concern: {fracture: emergency}, ", "")
    assert ": A hospital. Outside" in judge(plain, "L5", numb=yes(), fall=no())[1]


@pytest.mark.parametrize("urgency", ["urgent", "same_day"])
def test_refer_says_within_how_long(urgency: str) -> None:
    sends = rule("sends", when("fall"), f"{{referral: {{to: clinic, urgency: {urgency}}}}}")
    kind, text, state = judge(WORTH + AIM + sends, "L5", fall=yes())
    assert (kind, state) == ("refer", STOPPED)
    assert text.startswith(f"No hands-on care. Refer {WITHIN[urgency]}: A clinic.")


def test_a_routine_referral_goes_with_hands_on_care() -> None:
    sends = rule("sends", when("fall"), "{referral: {to: clinic, urgency: routine}}")
    assert judge(WORTH + AIM + sends, "L5", fall=yes())[::2] == ("hands_on", SETTLED)


def test_barred_by_fired_rules_names_them() -> None:
    bars = rule("bars", when("fall"), "{limit: {hands_on: barred}}", basis="contraindication",
                title="After a fall")  # fmt: skip
    kind, text, state = judge(WORTH + AIM + bars, "L5", fall=yes())
    assert (kind, text, state) == ("no_hands_on", "No hands-on care today: After a fall.", STOPPED)


def test_not_settled_counts_the_answers_that_are_owed() -> None:
    kind, text, state = judge(BOTH, "L5")
    assert (kind, state) == ("not_settled", ASK_FIRST)
    # `fall` is open too, but it does not hold hands-on care
    assert text == "Not settled: 1 answer before any hands-on care"
    two = BOTH.replace("{limit: {thrust: barred}}\n    while_unknown: nothing",
                       "{limit: {hands_on: barred}}\n    while_unknown: "
                       "{limit: {hands_on: barred}}")  # fmt: skip
    assert judge(two, "L5")[1] == "Not settled: 2 answers before any hands-on care"
    # with no level listed there is no path, and it is no more settled
    assert judge(BOTH)[::2] == ("not_settled", ASK_FIRST)


def test_a_held_part_of_the_ladder_asks_first_though_care_goes_on() -> None:
    holds = rule("part", when("fall"), "{limit: {mobilization: barred}}",
                 "{limit: {mobilization: grade_1}}", basis="precaution")  # fmt: skip
    kind, text, state = judge(WORTH + AIM + holds, "L5")
    assert (kind, state) == ("hands_on", ASK_FIRST)
    assert text.endswith("no higher than Grade I")


def test_contact_and_after_session() -> None:
    assert judge(BOTH, "L5", moment="contact", numb=no(), fall=no())[0] == "contact"
    assert judge(BOTH, "L5", moment="after_session", numb=no(), fall=no())[0] == "after_session"


def test_a_contact_that_asks_for_a_new_examination_says_so() -> None:
    answered: dict[str, Any] = {"moment": "contact", "numb": no(), "fall": no()}
    assert "changes the plan" in judge(BOTH, "L5", **answered)[1]
    kind, text, _ = judge(BOTH, "L5", step="re_examine", **answered)
    assert kind == "contact"
    assert "Examine again at the next visit" in text
    unasked = judge(BOTH, "L5", moment="contact")
    assert unasked[1].startswith("Not settled:")
    assert unasked[1].endswith("before this contact ends")


def test_what_wins_from_the_worst_down() -> None:
    """All at once; then with the worst taken away, one by one."""
    sends = rule(
        "sends", "{finding: density, at_most: -2.5}", "{referral: {to: clinic, urgency: same_day}}"
    )
    bars = rule("bars", "{finding: density, at_most: -1}", "{care_today: no_hands_on}")
    holds = rule(
        "holds",
        when("fall"),
        "{limit: {hands_on: barred}}",
        "{limit: {hands_on: barred}}",
        basis="screening",
    )
    rules = WORTH + AIM + CAUDA + sends + bars + holds
    for moment, last in (("contact", "contact"), ("after_session", "after_session")):
        answers: dict[str, Any] = {"numb": yes(), "density": _number(-30)}
        found = []
        for name, value in (("numb", no()), ("density", _number(-20)), ("density", _number(0))):
            found.append(judge(rules, "L5", moment=moment, **answers)[0])
            answers[name] = value
        found.append(judge(rules, "L5", moment=moment, **answers)[0])
        answers["fall"] = no()
        found.append(judge(rules, "L5", moment=moment, **answers)[0])
        assert found == ["emergency", "refer", "no_hands_on", "not_settled", last]


def _number(steps: int) -> Input:

    return Amount(steps, steps)


def test_an_answer_that_may_be_either_is_no_answer() -> None:
    kind, _, state = judge(BOTH, "L5", numb=Choice(("no", "yes")), fall=no())
    assert (kind, state) == ("not_settled", ASK_FIRST)


@pytest.mark.parametrize(("folder", "count"), [("tests/rulebook/base", 300), ("rules", 60)])
def test_every_legal_case_has_one_headline_that_fits_its_status(folder: str, count: int) -> None:
    decider = Decider(load_program(ROOT / folder))
    rng = Random(9)
    for _ in range(count):
        data: Any = random_case(rng, decider.vocabulary)
        advice = decider.decide(read_case(decider.vocabulary, data))
        kind, state = advice["headline"]["kind"], advice["status"]
        assert kind in KINDS
        assert (state == STOPPED) == (kind in ("emergency", "refer", "no_hands_on"))
        assert (kind == "hands_on") == bool(advice["path"]["steps"])
        if kind == "not_settled":
            assert state == ASK_FIRST
        if state == ASK_FIRST:
            # `proceed` is never the whole story: something is held, and there is a question for it
            assert advice["open_questions"]
            assert any(step["status"] == "held_open" for step in advice["chain"]["steps"])
            assert kind in ("not_settled", "hands_on", "contact", "after_session")
        for line in (advice["headline"]["text"], advice["headline"]["second"]):
            assert line and not FORBIDDEN.search(line)
