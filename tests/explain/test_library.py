"""Cards, exercises and sentences: filled in, and left out where barred or above today's path."""

import re
from pathlib import Path
from random import Random
from typing import Any

from cds.decide import Decider
from cds.explain.library import (
    cards,
    chosen,
    evidence_words,
    exercises,
    said,
    without_card,
)
from cds.rulebook.book import Evidence
from cds.rulebook.vetting import load_program
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Input
from tests.explain.seen import Seen, rule, see
from tests.support.expected import texts
from tests.support.randomcase import random_case
from tests.support.tiny import no, tiny, word, yes

ROOT = Path(__file__).parents[2]
LIBRARY = """
findings:
  side: {ask: "Side?", title: Side, kind: choice, values: [left, right, both],
         mirror: {left: right, right: left}}
cards:
  - id: mobilize
    title: Grades at {level}
    rungs: [mobilization_1, mobilization_2, mobilization_3]
    pattern: any
    position: On the {other_side}
    positions: [position_prone]
    set_up: ["Stand on the {side}."]
    effort: None by the patient at {level}
    dose: {bouts: "2 for {level}", mobilization_1: "small, {side}", mobilization_2: large,
           mobilization_3: to the end}
    feel: Less on the {side}
    stop: ["Pain on the {other_side}."]
    evidence: [{source: s-one, at: page 3, from_memory: true}, {common_practice: two bouts}]
    owner: tests
    review_by: 2027-01-01
  - id: energy
    title: Effort
    rungs: [muscle_energy]
    pattern: any
    position: Sitting
    positions: [position_sitting]
    set_up: [Sit.]
    effort: Push.
    dose: {hold: 5 s}
    feel: Release
    stop: [Pain.]
    evidence: [{common_practice: x}]
    owner: tests
    review_by: 2027-01-01
exercises:
  - {id: bend, title: "Bend to the {side} of {level}", loads: [home_flexion], how: ["Bend {side}."],
     dose: "Ten, {level}", stop: ["Pain on the {other_side}."],
     evidence: [{common_practice: x}], owner: tests, review_by: 2027-01-01}
  - {id: walk, title: Walk, loads: [home_extension], how: [Walk.], dose: Daily, stop: [Pain.],
     evidence: [{common_practice: x}], owner: tests, review_by: 2027-01-01}
texts:
  note: {say: "Mind the {side} at {level}.", evidence: [{common_practice: x}]}
  plain: {say: "Mind.", evidence: [{common_practice: x}]}
"""
RULES = (
    rule("worth", "{finding: segment.provocation, at_least: local}",
         "{segment.indication: {muscle_energy: true, mobilization: true}}", for_each="segment")
    + rule("aim", "{feature: moment, is: before_session}", "{target: mobilization_2}")
    + rule("bars-prone", "{finding: fall, is: yes}",
           "{limit: {position_prone: barred, home_flexion: barred}}",
           "{limit: {position_prone: barred, home_flexion: barred}}", basis="precaution")
    + rule("cards", '{all: [{finding: side, in: ["{side}", both]},'
           " {feature: segment.path_up_to, at_least: muscle_energy}]}",
           "{segment.cards: [mobilize], segment.exercises: [bend]}",
           for_each="[segment, side]", phase="prepare")
    + rule("energy", "{feature: segment.path_up_to, at_least: muscle_energy}",
           "{segment.cards: [energy], segment.cautions: [plain]}", for_each="segment",
           phase="prepare")
    + rule("walks", "{feature: path.hands_on, is: yes}",
           "{exercises: [walk], cautions: [plain]}", phase="prepare")
    + rule("minds", '{finding: side, in: ["{side}", both]}', "{segment.cautions: [note]}",
           for_each="[segment, side]", phase="prepare")
)  # fmt: skip


def at(side: str = "left", *levels: str, fall: Input | None = None, rules: str = RULES) -> Seen:
    values: dict[str, Input] = {"side": word(side), "fall": fall or no()}
    values |= {f"segment.provocation@{level}": word("local") for level in levels or ("L5",)}
    return see(tiny(rules, LIBRARY), values, *(levels or ("L5",)))


def shown(seen: Seen, level: str = "L5") -> list[Any]:
    return list(cards(seen.program, seen.readings, seen.paths.now, level)[0])


def others(seen: Seen, level: str = "L5") -> list[Any]:
    return list(cards(seen.program, seen.readings, seen.paths.now, level)[1])


def test_a_card_is_filled_in_and_says_its_side() -> None:
    card = shown(at("left"))[1]
    assert (card["id"], card["side"], card["title"]) == ("mobilize", "left", "Grades at L5")
    assert card["position"] == "On the right"
    assert card["set_up"] == ["Stand on the left."]
    assert (card["effort"], card["feel"]) == ("None by the patient at L5", "Less on the left")
    assert card["stop"] == ["Pain on the right."]
    assert shown(at("right"))[1]["position"] == "On the left"


def test_cards_come_in_the_order_of_the_path_and_one_without_a_side_has_none() -> None:
    found = shown(at())
    assert [card["id"] for card in found] == ["energy", "mobilize"]
    assert "side" not in found[0]


def test_only_today_s_rungs_and_their_doses() -> None:
    """A dose named like a rung belongs to it; none is shown for a rung above the path."""
    card = shown(at())[1]
    assert card["rungs"] == ["mobilization_1", "mobilization_2"]
    assert card["dose"] == {
        "bouts": "2 for L5", "mobilization_1": "small, left", "mobilization_2": "large",
    }  # fmt: skip


def test_a_card_above_the_path_is_left_out() -> None:
    low = RULES.replace("target: mobilization_2", "target: muscle_energy")
    assert [card["id"] for card in shown(at(rules=low))] == ["energy"]


def test_both_sides_give_the_card_twice_but_never_twice_for_one_side() -> None:
    found = [card for card in shown(at("both")) if card["id"] == "mobilize"]
    assert [card["side"] for card in found] == ["left", "right"]
    again = RULES + rule("again", '{finding: side, in: ["{side}", both]}',
                         "{segment.cards: [mobilize]}", for_each="[segment, side]",
                         phase="prepare")  # fmt: skip
    found = [card for card in shown(at("both", rules=again)) if card["id"] == "mobilize"]
    assert [card["side"] for card in found] == ["left", "right"]


def test_a_barred_position_takes_the_card_with_it_fired_or_held() -> None:
    barred = at(fall=yes())
    assert [card["id"] for card in shown(barred)] == ["energy"]
    lacking = without_card(barred.program, barred.readings, barred.paths.now, "L5")
    steps = [s for s in barred.paths.now.paths["L5"].steps if s.startswith("mobilization")]
    assert [entry["rung"] for entry in lacking if "prone" in entry["reason"]] == [
        step for step in steps if step != "mobilization_4"
    ]
    held = see(
        tiny(RULES, LIBRARY), {"side": word("left"), "segment.provocation@L5": word("local")}, "L5"
    )
    assert [card["id"] for card in shown(held)] == ["energy"]
    whole = at()
    lacking = without_card(whole.program, whole.readings, whole.paths.now, "L5")
    assert {e["rung"] for e in lacking} <= {"mobilization_4", "thrust"}
    assert all("no card" in e["reason"] for e in lacking)


SEATED = """
  - id: mobilize-seated
    title: Seated at {level}
    rungs: [mobilization_1, mobilization_2]
    pattern: any
    position: Sitting
    positions: [position_sitting]
    set_up: [Sit.]
    effort: None
    dose: {bouts: "2", mobilization_2: large, mobilization_2_hold: long}
    feel: Less
    stop: [Pain.]
    if_not_tolerated: Rest on the {side}.
    instead_of: mobilize
    evidence: [{common_practice: x}]
    owner: tests
    review_by: 2027-01-01
"""


def seated(fall: Input, target: str = "mobilization_2") -> Seen:
    rules = RULES.replace("[mobilize]", "[mobilize, mobilize-seated]")
    rules = rules.replace("target: mobilization_2", f"target: {target}")
    library = LIBRARY.replace("exercises:", SEATED.strip("\n") + "\nexercises:", 1)
    values: dict[str, Input] = {
        "side": word("left"), "fall": fall, "segment.provocation@L5": word("local"),
    }  # fmt: skip
    return see(tiny(rules, library), values, "L5")


def test_a_card_in_another_position_is_an_alternative_while_the_first_is_open() -> None:
    seen = seated(no())
    assert [card["id"] for card in shown(seen)] == ["energy", "mobilize"]
    (other,) = others(seen)
    assert (other["id"], other["if_not_tolerated"]) == ("mobilize-seated", "Rest on the left.")


def test_it_is_the_card_where_the_position_of_the_first_is_barred() -> None:
    seen = seated(yes())
    assert [card["id"] for card in shown(seen)] == ["energy", "mobilize-seated"]
    assert others(seen) == []
    lacking = without_card(seen.program, seen.readings, seen.paths.now, "L5")
    assert "mobilization_2" not in {entry["rung"] for entry in lacking}


def test_a_dose_word_that_begins_with_a_rung_belongs_to_it() -> None:
    assert "mobilization_2_hold" in others(seated(no()))[0]["dose"]
    low = others(seated(no(), "mobilization_1"))[0]["dose"]
    assert "mobilization_2_hold" not in low and "bouts" in low


def home(seen: Seen) -> list[Any]:
    return list(exercises(seen.program, seen.readings, seen.paths.now, list(seen.levels)))


def test_exercises_case_first_and_filled_in() -> None:
    found = home(at())
    assert [entry["id"] for entry in found] == ["walk", "bend"]
    assert "level" not in found[0] and "side" not in found[0]
    assert found[1] == {
        "id": "bend", "title": "Bend to the left of L5", "how": ["Bend left."], "dose": "Ten, L5",
        "stop": ["Pain on the right."], "evidence": ["common practice: x"],
        "level": "L5", "side": "left",
    }  # fmt: skip


def test_an_exercise_with_a_barred_load_is_left_out() -> None:
    assert [entry["id"] for entry in home(at(fall=yes()))] == ["walk"]


def test_an_exercise_stands_once_for_each_side_not_once_for_each_level() -> None:
    assert [e["id"] for e in home(at("left", "L4", "L5"))] == ["walk", "bend"]
    sides = [e["side"] for e in home(at("both", "L4", "L5")) if e["id"] == "bend"]
    assert sides == ["left", "right"]


def test_sentences_are_filled_in_and_said_once() -> None:
    seen = at("both", "L4", "L5")
    found = said(seen.program, seen.readings, "cautions", list(seen.levels))
    assert [(entry["text"], entry.get("level"), entry["rule"]) for entry in found] == [
        ("Mind.", None, "walks"),
        ("Mind the left at L4.", "L4", "minds"), ("Mind the right at L4.", "L4", "minds"),
        ("Mind the left at L5.", "L5", "minds"), ("Mind the right at L5.", "L5", "minds"),
    ]  # fmt: skip


def test_a_set_nobody_writes_is_empty() -> None:
    seen = at()
    assert said(seen.program, seen.readings, "education", ["L5"]) == []
    assert chosen(seen.program, seen.readings, "cards", None) == []


def test_evidence_in_words_keeps_what_is_from_memory() -> None:
    assert evidence_words(
        (
            Evidence(source="s-one"), Evidence(source="s-one", at="page 3", from_memory=True),
            Evidence(common_practice="bouts"), Evidence(common_practice="holds", from_memory=True),
        )
    ) == [
        "s-one", "s-one, page 3 (from memory)", "common practice: bouts",
        "common practice: holds (from memory)",
    ]  # fmt: skip


def test_no_advice_of_the_shipped_book_has_an_empty_place() -> None:
    """Every `{side}` and `{level}` is filled in, and no dose is for a rung above its path."""
    decider = Decider(load_program(ROOT / "rules"))
    rungs = set(decider.program.ladder.rung_names)
    rng = Random(3)
    found = 0
    for _ in range(60):
        data: Any = random_case(rng, decider.vocabulary)
        advice = decider.decide(read_case(decider.vocabulary, data))
        assert not [text for text in texts(advice) if re.search(r"\{\w*\}", text)]
        for segment in advice["segments"]:
            steps = {step["rung"] for step in segment["path"]["steps"]}
            for card in segment["cards"]:
                found += 1
                assert set(card["rungs"]) <= steps
                assert rungs & set(card["dose"]) <= steps
        found += len(advice["home"])
    assert found
