"""The short advice keeps what decides, and says nothing that the full one does not."""

import copy
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest

from cds.canon import canonical
from cds.decide import Decider
from cds.explain.compact import compact
from cds.rulebook.vetting import load_program
from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.explain.seen import rule
from tests.support.randomcase import random_case
from tests.support.shipped import demo
from tests.support.tiny import tiny

ROOT = Path(__file__).parents[2]
KEPT = (
    "headline", "status", "care_today", "referrals", "concerns", "moment", "as_of", "segments",
    "path", "home", "retest", "cautions", "education", "safety_net", "consent_points", "next_step",
    "open_questions", "edition", "scope_notice",
)  # fmt: skip


@cache
def advices(folder: str, count: int) -> list[Advice]:
    decider = Decider(load_program(ROOT / folder))
    rng = Random(31)
    cases = [random_case(rng, decider.vocabulary) for _ in range(count)]
    if folder == "rules":
        cases += [demo("first_visit")["case"], demo("sixth_visit")["case"]]
    return [decider.decide(read_case(decider.vocabulary, data)) for data in cases]


BOOKS = pytest.mark.parametrize(("folder", "count"), [("tests/rulebook/base", 80), ("rules", 20)])


@BOOKS
def test_what_decides_is_kept_whole(folder: str, count: int) -> None:
    for advice in advices(folder, count):
        short = compact(advice)
        assert set(short) == set(advice)
        assert short["detail"] == "compact"
        for key in KEPT:
            assert short[key] == advice[key]  # type: ignore[literal-required]


@BOOKS
def test_the_given_advice_is_not_changed(folder: str, count: int) -> None:
    for advice in advices(folder, count):
        before = copy.deepcopy(advice)
        compact(advice)
        assert advice == before


def within(small: Any, large: Any) -> bool:
    """Every part of `small` stands, equal and in the same order, in `large`."""
    if isinstance(small, dict):
        return small.keys() == large.keys() and all(within(v, large[k]) for k, v in small.items())
    if isinstance(small, list):
        rest = iter(large)
        return all(any(within(entry, other) for other in rest) for entry in small)
    return bool(small == large)


@BOOKS
def test_nothing_is_invented(folder: str, count: int) -> None:
    for advice in advices(folder, count):
        short = {**compact(advice), "detail": "full"}
        for less, more in zip(short.pop("information"), advice["information"], strict=True):
            assert less == {"id": more["id"], "title": more["title"]}
        assert within(short, {k: v for k, v in advice.items() if k != "information"})


def test_the_comparison_sees_what_is_invented() -> None:
    assert within([1, 3], [1, 2, 3])
    assert not within([3, 1], [1, 2, 3])
    assert not within({"a": [4]}, {"a": [1]})
    assert not within({"a": 1}, {"a": 1, "b": 2})


@BOOKS
def test_every_fired_step_and_every_limit_s_binding_holders_stay(folder: str, count: int) -> None:
    left = 0
    for advice in advices(folder, count):
        short = compact(advice)
        fired = [s for s in advice["chain"]["steps"] if s["status"] == "fired"]
        assert short["chain"]["steps"] == fired
        assert [e["rule"] for e in short["chain"]["open"]] == [
            e["rule"] for e in advice["chain"]["open"] if e["holds"]
        ]
        inputs = {entry["name"] for entry in short["chain"]["inputs"]}
        assert inputs == {t["input"] for s in fired for t in s["tests"] if "input" in t} & {
            entry["name"] for entry in advice["chain"]["inputs"]
        }
        for less, more in zip(short["limits"], advice["limits"], strict=True):
            assert (less["family"], less["most"]) == (more["family"], more["most"])
            for heading in ("contraindications", "policy", "others"):
                holders = more[heading]
                binding = [holder for holder in holders if holder["binding"]]
                assert less[heading] == binding
                left += len(holders) - len(binding)
        cited = {source for step in fired for source in step["sources"]}
        assert cited <= {source["id"] for source in short["sources"]}
    assert left or folder != "rules"


@BOOKS
def test_the_next_rung_s_reasons_stay_and_missing_answers_that_are_asked(
    folder: str, count: int
) -> None:
    for advice in advices(folder, count):
        short = compact(advice)
        levels = {entry["level"] for entry in advice["why_not"]}
        assert {entry["level"] for entry in short["why_not"]} == levels
        for level in levels:
            nearest = next(e["rung"] for e in advice["why_not"] if e["level"] == level)
            assert [e for e in short["why_not"] if e["level"] == level] == [
                e for e in advice["why_not"] if (e["level"], e["rung"]) == (level, nearest)
            ]
        names = {
            q["finding"] + (f"@{q['level']}" if "level" in q else "")
            for q in advice["open_questions"]
        }
        missing = {entry["finding"] for entry in advice["answers"]["missing"]}
        assert {entry["finding"] for entry in short["answers"]["missing"]} == names & missing
        for key in ("used", "stale", "rejected"):
            assert short["answers"][key] == advice["answers"][key]


@BOOKS
def test_it_is_never_larger_and_shortening_twice_changes_nothing(folder: str, count: int) -> None:
    smaller = 0
    for advice in advices(folder, count):
        short = compact(advice)
        size = len(canonical(short)) - len('"compact"') + len('"full"')
        assert size <= len(canonical(advice))
        smaller += size < len(canonical(advice))
        assert compact(short) == short
    assert smaller


def test_a_source_whose_name_only_begins_alike_is_left_out() -> None:
    """A held rule's source is dropped with its step, though a card cites a longer name."""
    library = """
sources: {s-one-more: {title: Another, year: 2021, status: read}}
cards:
  - {id: energy, title: Effort, rungs: [muscle_energy], pattern: any, position: Sitting,
     positions: [position_sitting], set_up: [Sit.], effort: Push., dose: {hold: 5 s},
     feel: Release, stop: [Pain.], evidence: [{source: s-one-more, at: page 1}], owner: tests,
     review_by: 2027-01-01}
"""
    rules = (
        rule("worth", "{finding: segment.provocation, is: local}",
             "{segment.indication: {muscle_energy: true}}", for_each="segment")
        + rule("aim", "{feature: moment, is: before_session}", "{target: muscle_energy}")
        + rule("card", "{feature: segment.path_up_to, at_least: muscle_energy}",
               "{segment.cards: [energy]}", for_each="segment", phase="prepare")
    ).replace("source: s-one", "common_practice: x") + rule(
        "holds", "{finding: numb, is: yes}", "{limit: {thrust: barred}}",
        "{limit: {thrust: barred}}", basis="precaution")  # fmt: skip
    decider = Decider(tiny(rules, library))
    advice = decider.decide(
        read_case(
            decider.vocabulary,
            {
                "as_of": "2026-11-20", "moment": "before_session",
                "segments": [{"level": "L5", "answers": {"provocation": "local"}}],
            },
        )
    )  # fmt: skip
    assert [card["id"] for card in advice["segments"][0]["cards"]] == ["energy"]
    assert [source["id"] for source in advice["sources"]] == ["s-one", "s-one-more"]
    assert [source["id"] for source in compact(advice)["sources"]] == ["s-one-more"]
