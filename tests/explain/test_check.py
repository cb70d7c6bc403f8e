"""The chain checker accepts every advice that `decide` gives and refuses every tampered one."""

import copy
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest

from cds.decide import Decider
from cds.explain.chain import chain_digest
from cds.explain.check import CODES, check_chain
from cds.features.compute import inputs
from cds.rulebook.vetting import load_program
from cds.vocabulary.ageing import stand
from cds.vocabulary.reading import read_case
from tests.support.randomcase import random_case

ROOT = Path(__file__).parents[2]


@cache
def base() -> Decider:
    return Decider(load_program(ROOT / "tests" / "rulebook" / "base"))


@cache
def shipped() -> Decider:
    return Decider(load_program(ROOT / "rules"))


@pytest.mark.parametrize(("make", "count"), [(base, 400), (shipped, 60)])
def test_every_advice_can_be_derived_again(make: Callable[[], Decider], count: int) -> None:
    """From the chain alone, and from the chain with the case's own inputs."""
    decider = make()
    rng = Random(11)
    for _ in range(count):
        case = read_case(decider.vocabulary, random_case(rng, decider.vocabulary))
        advice = decider.decide(case)
        own = inputs(decider.program, case, stand(decider.vocabulary, case))
        assert check_chain(decider.program, advice) == []
        assert check_chain(decider.program, advice, own) == []


Tamper = Callable[[Random, dict[str, Any], Decider], bool]
"""Changes the advice in place; False when there was nothing to change."""


def step_removed(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    steps = advice["chain"]["steps"]
    if not steps:
        return False
    steps.pop(rng.randrange(len(steps)))
    for number, step in enumerate(steps, start=1):
        step["number"] = number
    return True


def step_doubled(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    steps = advice["chain"]["steps"]
    if steps:
        steps.append(copy.deepcopy(rng.choice(steps)))
    return bool(steps)


def steps_swapped(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    steps = advice["chain"]["steps"]
    if len(steps) < 2:
        return False
    place = rng.randrange(len(steps) - 1)
    steps[place], steps[place + 1] = steps[place + 1], steps[place]
    return True


def rule_added(rng: Random, advice: dict[str, Any], decider: Decider) -> bool:
    """A step of a rule that did not fire, shaped as if it had."""
    there = {step["rule"] for step in advice["chain"]["steps"]}
    absent = sorted(set(decider.program.rules) - there)
    if not absent or not advice["chain"]["steps"]:
        return False
    added = copy.deepcopy(rng.choice(advice["chain"]["steps"]))
    added["rule"] = rng.choice(absent)
    added["title"] = decider.program.rules[added["rule"]].title
    added["status"] = "fired"
    advice["chain"]["steps"].append(added)
    return True


def conclusion_changed(rng: Random, advice: dict[str, Any], decider: Decider) -> bool:
    steps = [s for s in advice["chain"]["steps"] if s["conclusions"]]
    if not steps:
        return False
    entry = rng.choice(rng.choice(steps)["conclusions"])
    slot = decider.program.slots[decider.program.slot_numbers[entry["slot"]]]
    others = [v for v in (*slot.values, "no") if v != entry["value"]]
    entry["value"] = rng.choice(others)
    return True


def status_changed(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    if not advice["chain"]["steps"]:
        return False
    step = rng.choice(advice["chain"]["steps"])
    step["status"] = "held_open" if step["status"] == "fired" else "fired"
    return True


def test_result_changed(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    steps = [s for s in advice["chain"]["steps"] if s["tests"]]
    if not steps:
        return False
    test = rng.choice(rng.choice(steps)["tests"])
    test["result"] = {"true": "false", "false": "unknown", "unknown": "true"}[test["result"]]
    return True


test_result_changed.__test__ = False  # type: ignore[attr-defined]


def input_dropped(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    entries = advice["chain"]["inputs"]
    entries.pop(rng.randrange(len(entries)))
    return True


def input_changed(rng: Random, advice: dict[str, Any], decider: Decider) -> bool:
    words = [
        e for e in advice["chain"]["inputs"]
        if "value" in e and (f := decider.program.findings.get(e["name"].partition("@")[0]))
        and not f.numeric and len(f.values) > 1
    ]  # fmt: skip
    if not words:
        return False
    entry = rng.choice(words)
    finding = decider.program.findings[entry["name"].partition("@")[0]]
    entry["value"] = rng.choice([v for v in finding.values if v != entry["value"]])
    return True


def open_rule_dropped(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    entries = advice["chain"]["open"]
    if entries:
        entries.pop(rng.randrange(len(entries)))
    return bool(entries)


def care_softened(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    words = ("proceed", "with_precautions", "no_hands_on")
    key = rng.choice(("now", "most_careful", "least_careful"))
    now = advice["care_today"][key]
    advice["care_today"][key] = rng.choice([w for w in words if w != now])
    return True


def path_raised(rng: Random, advice: dict[str, Any], decider: Decider) -> bool:
    if not advice["segments"]:
        return False
    path = rng.choice(advice["segments"])["path"]
    rungs = [r for r in decider.resolver.rungs if r != path["up_to"]["now"]]
    path["up_to"]["now"] = rng.choice(rungs)
    return True


def case_path_changed(rng: Random, advice: dict[str, Any], decider: Decider) -> bool:
    ups = advice["path"]["up_to"]
    reading = rng.choice(sorted(ups))
    ups[reading] = rng.choice([r for r in decider.resolver.rungs if r != ups[reading]])
    return True


def case_step_dropped(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    steps = advice["path"]["steps"]
    if steps:
        steps.pop(rng.randrange(len(steps)))
        return True
    return False


def limit_dropped(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    if not advice["limits"]:
        return False
    advice["limits"].pop(rng.randrange(len(advice["limits"])))
    return True


def referral_dropped(rng: Random, advice: dict[str, Any], _: Decider) -> bool:
    if not advice["referrals"]:
        return False
    advice["referrals"].pop(rng.randrange(len(advice["referrals"])))
    return True


def edition_changed(_: Random, advice: dict[str, Any], __: Decider) -> bool:
    advice["edition"]["digest"] = "sha256:" + "0" * 64
    return True


TAMPERS: tuple[Tamper, ...] = (
    step_removed, step_doubled, steps_swapped, rule_added, conclusion_changed, status_changed,
    test_result_changed, input_dropped, input_changed, open_rule_dropped, care_softened,
    path_raised, case_path_changed, case_step_dropped, limit_dropped, referral_dropped,
    edition_changed,
)  # fmt: skip


@pytest.mark.parametrize(("make", "cases", "least"), [(base, 200, 2000), (shipped, 20, 200)])
def test_every_tampered_advice_is_refused(
    make: Callable[[], Decider], cases: int, least: int
) -> None:
    """Steps removed, doubled, swapped, added; values, inputs, statuses, limits, paths changed.

    The digest is taken again after the change, so that the derivation refuses, not the digest.
    """
    decider = make()
    rng = Random(23)
    refused = 0
    for _ in range(cases):
        case = read_case(decider.vocabulary, random_case(rng, decider.vocabulary))
        advice = decider.decide(case)
        own = inputs(decider.program, case, stand(decider.vocabulary, case))
        for tamper in TAMPERS:
            changed: Any = copy.deepcopy(advice)
            if not tamper(rng, changed, decider):
                continue
            changed["chain"]["digest"] = chain_digest(changed["chain"])
            found = check_chain(decider.program, changed, own)
            assert found, tamper.__name__
            assert {problem.code for problem in found} <= set(CODES)
            refused += 1
    assert refused >= least


def test_a_change_without_a_new_digest_is_refused_at_once() -> None:
    decider = base()
    advice: Any = decider.decide(
        read_case(decider.vocabulary, {"as_of": "2026-11-20", "moment": "before_session"})
    )
    advice["chain"]["inputs"].append({"name": "moment", "value": "contact"})
    assert "chain-digest" in {problem.code for problem in check_chain(decider.program, advice)}
