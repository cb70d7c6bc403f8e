"""The reader of edge cases refuses what it does not understand; its proofs tell apart."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.support.edges import Edge, may_be_false, may_be_open, read_edges, state
from tests.support.fixtures import FixtureError, base, laid_over

ENTRY = "  - {rule: pain-severe-today, why: a, fires: {}, open: {}, other_side: {}}\n"
HEAD = "about: a\nbase: first-visit\nrules:\n"


def edge(rule: str, **answers: object) -> Edge:
    return Edge(rule, "", "", {"fires": laid_over(base("first-visit"), {"answers": answers})})


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (HEAD + ENTRY.replace("why: a", "reason: a"), "`reason` is not a key"),
        (HEAD + ENTRY.replace("why: a, ", ""), "`why` is missing"),
        (HEAD + ENTRY.replace("open: {}, ", ""), "exactly one of `open` and `never_open`"),
        (HEAD + ENTRY.replace("why: a", "why: a, never_false: b"), "exactly one of `other_side`"),
        (HEAD.replace("first-visit", "nowhere") + ENTRY, "no base"),
    ],
)
def test_what_is_not_understood_is_refused(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "one.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FixtureError, match=said):
        read_edges(path)


def test_with_is_laid_under_each_case(tmp_path: Path) -> None:
    path = tmp_path / "one.yaml"
    entry = ENTRY.replace("why: a", "why: a, with: {answers: {pain: 9}}")
    path.write_text(HEAD + entry.replace("open: {}", "open: {answers: {pain: null}}"))
    (found,) = read_edges(path)
    pain = {place: case["answers"].get("pain") for place, case in found.cases.items()}
    assert pain == {"fires": 9, "open": None, "other_side": 9}


def test_a_rule_fires_is_open_or_is_false() -> None:
    visit = base("first-visit")
    words = {
        pain: state("pain-severe-today", laid_over(visit, {"answers": {"pain": pain}}))
        for pain in (8, 7, None)
    }
    assert words == {8: "fired", 7: "false", None: "open"}


def test_a_rule_after_the_path_is_told_the_path() -> None:
    visit = base("first-visit")
    stopped = laid_over(visit, {"answers": {"saddle_sensation": "altered"}})
    assert state("home-walking", visit) == "fired"
    assert state("home-walking", stopped) == "false"


def test_a_rule_that_waits_for_answers_may_be_open_and_false() -> None:
    assert may_be_open(edge("pain-severe-today"))
    assert may_be_false(edge("pain-severe-today"))
    assert may_be_open(edge("home-breathing", guarding="moderate"))


def test_a_rule_that_nothing_can_change_is_neither() -> None:
    assert not may_be_open(edge("target-gentle"))
    assert not may_be_false(edge("target-gentle"))
    assert not may_be_open(replace(edge("thrust-not-offered-here"), policy={"thrust": "off"}))


def test_a_rule_of_the_path_alone_is_never_open_but_may_be_false() -> None:
    assert not may_be_open(edge("home-walking"))
    assert may_be_false(edge("home-walking"))


def test_a_rule_that_asks_whether_an_answer_is_known_is_never_false() -> None:
    assert not may_be_false(edge("information-scores"))
    assert may_be_false(edge("information-benefit-of-manipulation"))
