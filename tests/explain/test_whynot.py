"""Why not more: for each rung above the path, a keeper; for each kind, its own rules."""

from pathlib import Path
from random import Random
from typing import Any

import pytest

from cds.decide import Decider
from cds.explain.whynot import why_not
from cds.rulebook.vetting import load_program
from cds.vocabulary.advice import WhyNot
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Input
from tests.explain.seen import Seen, rule, see
from tests.support.randomcase import random_case
from tests.support.tiny import no, tiny, word, yes

ROOT = Path(__file__).parents[2]
WORTH = rule("worth", "{finding: segment.provocation, at_least: local}",
             "{segment.indication: {muscle_energy: true, mobilization: true, thrust: true}}",
             for_each="segment")  # fmt: skip
AIM = rule("aim", "{feature: moment, in: [before_session, after_session]}", "{target: thrust}")
SORE: dict[str, Input] = {"segment.provocation@L5": word("local"), "fall": no(), "numb": no()}


def found(rules: str, **values: Input) -> list[WhyNot]:
    return of(see(tiny(rules), {**SORE, **values}, "L5"))


def of(seen: Seen) -> list[WhyNot]:
    return why_not(seen.program, seen.resolver, seen.readings, seen.paths.now, list(seen.levels))


def kinds(entries: list[WhyNot], rung: str) -> list[tuple[str, list[str]]]:
    return [(e["kind"], e["rules"]) for e in entries if e["rung"] == rung]


def test_nothing_keeps_back_what_is_offered() -> None:
    assert found(WORTH + AIM) == []


def test_the_target_and_the_rules_that_set_it() -> None:
    entries = found(WORTH + AIM.replace("target: thrust", "target: mobilization_3"))
    assert [e["rung"] for e in entries] == ["mobilization_4", "thrust"]
    assert kinds(entries, "mobilization_4") == [("target", ["aim"])]


def test_no_indication_names_the_rules_that_could_give_it() -> None:
    entries = found(WORTH + AIM, **{"segment.provocation@L5": word("none")})
    assert entries[0]["rung"] == "muscle_energy_low"
    assert kinds(entries, "mobilization_1") == [("indication", ["worth"])]


def test_a_fired_limit_and_a_held_one_are_told_apart() -> None:
    bars = rule("bars", "{finding: fall, is: yes}", "{limit: {thrust: barred}}",
                "{limit: {thrust: barred}}", basis="contraindication")  # fmt: skip
    assert kinds(found(WORTH + AIM + bars, fall=yes()), "thrust") == [("limit", ["bars"])]
    seen = see(tiny(WORTH + AIM + bars), {"segment.provocation@L5": word("local")}, "L5")
    entries = of(seen)
    assert kinds(entries, "thrust") == [("held", ["bars"])]
    assert "until its questions are answered" in entries[0]["text"]


def test_only_the_rules_that_keep_this_very_rung_are_named() -> None:
    bars = rule("low", "{finding: fall, is: yes}", "{limit: {mobilization: grade_2}}",
                basis="precaution") + rule(
        "lower", "{finding: numb, is: yes}", "{limit: {mobilization: grade_3}}", basis="precaution"
    )  # fmt: skip
    entries = found(WORTH + AIM + bars, fall=yes(), numb=yes())
    assert kinds(entries, "mobilization_3") == [("limit", ["low"])]
    assert kinds(entries, "mobilization_4") == [("limit", ["low", "lower"])]


def test_thrust_kept_by_the_rung_below_only() -> None:
    bars = rule("low", "{finding: fall, is: yes}", "{limit: {mobilization: grade_3}}",
                basis="precaution")  # fmt: skip
    entries = found(WORTH + AIM + bars, fall=yes())
    assert kinds(entries, "thrust") == [("below", [])]
    assert "mobilization 4" in entries[-1]["text"]


def test_an_urgent_referral_and_stopped_care_come_first() -> None:
    bars = rule("sends", "{finding: fall, is: yes}",
                "{referral: {to: hospital, urgency: same_day}, care_today: no_hands_on}") + rule(
        "weakly", "{finding: numb, is: yes}", "{referral: {to: clinic, urgency: routine}}"
    )  # fmt: skip
    entries = found(WORTH + AIM + bars, fall=yes(), numb=yes())
    assert kinds(entries, "thrust") == [("referral", ["sends"]), ("care", ["sends"])]


def test_after_a_session_it_is_the_moment() -> None:
    entries = found(WORTH + AIM, moment=word("after_session"))
    assert {e["kind"] for e in entries} == {"moment"}


def test_a_limit_of_one_level_is_named_there_only() -> None:
    bars = rule("here", "{finding: segment.provocation, is: concordant}",
                "{segment.limit: {thrust: barred}}", for_each="segment",
                basis="precaution")  # fmt: skip
    values = {**SORE, "segment.provocation@L4": word("concordant")}
    entries = of(see(tiny(WORTH + AIM + bars), values, "L4", "L5"))
    assert [(e["level"], e["rung"], e["kind"], e["rules"]) for e in entries] == [
        ("L4", "thrust", "limit", ["here"])
    ]


def test_every_level_has_its_own_reasons() -> None:
    values = {**SORE, "segment.provocation@L4": word("none")}
    entries = of(see(tiny(WORTH + AIM), values, "L5", "L4"))
    assert {e["level"] for e in entries} == {"L4"}


@pytest.mark.parametrize(("folder", "count"), [("tests/rulebook/base", 150), ("rules", 25)])
def test_every_rung_above_every_path_has_a_keeper(folder: str, count: int) -> None:
    decider = Decider(load_program(ROOT / folder))
    place, needs = decider.resolver.place, decider.resolver.needs
    rules = set(decider.program.rules)
    rng = Random(5)
    above = 0
    for _ in range(count):
        data: Any = random_case(rng, decider.vocabulary)
        advice = decider.decide(read_case(decider.vocabulary, data))
        kept = {(e["level"], e["rung"]) for e in advice["why_not"]}
        for segment in advice["segments"]:
            up_to = place[segment["path"]["up_to"]["now"]]
            steps = {step["rung"] for step in segment["path"]["steps"]}
            for rung in needs:
                higher = place[rung] > up_to
                above += higher
                assert ((segment["level"], rung) in kept) == higher, (segment["level"], rung)
            assert not {(segment["level"], rung) for rung in steps} & kept
        for entry in advice["why_not"]:
            assert set(entry["rules"]) <= rules
            assert entry["text"]
            if entry["kind"] in ("limit", "held", "referral", "care"):
                assert entry["rules"]
    assert above > count


def test_a_level_whose_turn_it_is_not_says_so() -> None:
    levels = ("L3", "L4", "L5")
    given: dict[str, Input] = {f"segment.provocation@{name}": word("local") for name in levels}
    entries = of(see(tiny(WORTH + AIM), {"fall": no(), "numb": no(), **given}, *levels))
    assert [(e["level"], e["rung"], e["kind"]) for e in entries] == [("L5", "thrust", "session")]
