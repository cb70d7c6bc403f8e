"""Why not more: for each rung above the path, a keeper; for each kind, its own rules."""

from pathlib import Path
from random import Random
from typing import Any

import pytest

from cds.decide import Decider
from cds.engine.port import Outcome
from cds.engine.readings import Readings
from cds.explain.whynot import BY, why_not
from cds.features.compute import inputs
from cds.rulebook.program import Program
from cds.rulebook.vetting import load_program
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case
from cds.vocabulary.reading import read_case
from cds.vocabulary.reasons import WhyNot
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


def test_the_order_is_that_of_what_would_have_to_change() -> None:
    bars = "".join(
        rule(name, f"{{finding: {finding}, is: yes}}", "{limit: {thrust: barred}}", hold, basis=why)
        for name, finding, hold, why in (
            ("stands", "fall", "nothing", "contraindication"),
            ("chosen", "fall", "nothing", "policy"),
            ("reacted", "fall", "nothing", "response"),
            ("agreed", "fall", "nothing", "consent"),
            ("unasked", "numb", "{limit: {thrust: barred}}", "precaution"),
        )
    )
    values: dict[str, Input] = {"segment.provocation@L5": word("local"), "fall": yes()}
    entries = of(see(tiny(WORTH + AIM + bars), values, "L5"))
    assert [(e["by"], e["rules"]) for e in entries] == [
        ("answer", ["unasked"]), ("today", ["agreed"]), ("course", ["reacted"]),
        ("policy", ["chosen"]), ("stands", ["stands"]),
    ]  # fmt: skip
    assert (
        entries[1]["change"].startswith("The patient's consent")
        and "agreed" in entries[1]["change"]
    )


def test_what_is_held_names_its_questions() -> None:
    decider = Decider(load_program(ROOT / "rules"))
    empty = {"as_of": "2026-11-20", "moment": "before_session", "segments": [{"level": "L5"}]}
    advice = decider.decide(read_case(decider.vocabulary, empty))
    held = [entry for entry in advice["why_not"] if entry["kind"] == "held"]
    asked = {
        f"{q['finding']}@{q['level']}" if "level" in q else q["finding"]
        for q in advice["open_questions"]
    }
    assert held and all(entry["by"] == "answer" for entry in held)
    named = [entry["questions"] for entry in held if "questions" in entry]
    assert named and all(set(names) <= asked for names in named)
    saddle = next(entry for entry in held if "saddle_sensation" in entry.get("questions", ()))
    assert "Would have to be answered:" in saddle["change"]


def without(outcome: Outcome, program: Program, rules: set[str]) -> Outcome:
    def kept(numbers: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(n for n in numbers if program.instances[n].rule not in rules)

    return Outcome(kept(outcome.fired), kept(outcome.open))


def with_target(outcome: Outcome, program: Program, rung: str) -> Outcome:
    """As if the response had earned this rung."""
    able = [
        i.number
        for i in program.instances
        if any(
            program.slots[w.slot].conclusion == "target"
            and program.slots[w.slot].values[w.value] == rung
            for w in i.then
        )
    ]
    return Outcome(tuple(sorted({*outcome.fired, *able})), outcome.open)


def with_fired(outcome: Outcome, program: Program, rules: set[str]) -> Outcome:
    able = {i.number for i in program.instances if i.rule in rules}
    return Outcome(tuple(sorted({*outcome.fired, *able})), outcome.open)


def lifted(decider: Decider, case: Case, entry: WhyNot) -> tuple[bool, list[WhyNot]]:
    """Whether the rung is open once what the entry names has changed, and what keeps it then."""
    program, resolver = decider.program, decider.resolver
    given = inputs(program, case, stand(decider.vocabulary, case))
    outcome = decider.chainer.evaluate(given)
    rules = set(entry["rules"])
    if entry["kind"] == "target":
        changed = with_target(outcome, program, entry["rung"])
    elif entry["kind"] == "indication":
        changed = with_fired(outcome, program, rules)
    else:
        changed = without(outcome, program, rules)
    readings = Readings(program, changed)
    levels = tuple(segment["level"] for segment in decider.decide(case)["segments"])
    resolved = resolver.paths(readings, levels, given.values).now
    path = resolved.paths[entry["level"]]
    left = why_not(program, resolver, readings, resolved, [entry["level"]])
    still = [e for e in left if e["rung"] == entry["rung"]]
    return entry["rung"] in path.steps or not still, still


@pytest.mark.parametrize(("folder", "count"), [("tests/rulebook/base", 40), ("rules", 10)])
def test_what_it_names_is_what_keeps_it(folder: str, count: int) -> None:
    """Once what an entry names is gone, the rung opens or only the next keepers are left."""
    decider = Decider(load_program(ROOT / folder))
    rng = Random(11)
    tried = 0
    for _ in range(count):
        case = read_case(decider.vocabulary, random_case(rng, decider.vocabulary))
        entries = [e for e in decider.decide(case)["why_not"] if e["rules"]]
        for entry in rng.sample(entries, min(4, len(entries))):
            opened, still = lifted(decider, case, entry)
            tried += 1
            assert opened or (entry["kind"], entry["rules"]) not in [
                (e["kind"], e["rules"]) for e in still
            ], entry
    assert tried > count


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
        for rung in {(e["level"], e["rung"]) for e in advice["why_not"]}:
            order = [
                BY.index(e["by"]) for e in advice["why_not"] if (e["level"], e["rung"]) == rung
            ]
            assert order == sorted(order)
        for entry in advice["why_not"]:
            assert set(entry["rules"]) <= rules
            assert entry["text"] and entry["change"] and entry["by"] in BY
            if entry["kind"] in ("limit", "held", "referral", "care"):
                assert entry["rules"]
    assert above > count


def test_a_level_whose_turn_it_is_not_says_so() -> None:
    levels = ("L3", "L4", "L5")
    given: dict[str, Input] = {f"segment.provocation@{name}": word("local") for name in levels}
    entries = of(see(tiny(WORTH + AIM), {"fall": no(), "numb": no(), **given}, *levels))
    assert [(e["level"], e["rung"], e["kind"]) for e in entries] == [("L5", "thrust", "session")]
