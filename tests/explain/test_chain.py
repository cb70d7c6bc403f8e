"""The chain: order of steps, what each test cites, and which holds bind."""

from typing import Any

import pytest

from cds.explain.chain import Order, binding_holds, build_chain, chain_digest, concluded, value_of
from cds.rulebook.program import Program
from cds.vocabulary.values import Choice
from tests.explain.seen import Seen, rule, see
from tests.support.tiny import amount, no, tiny, word, yes

BOOK = """
conclusions:
  weak_bone: {title: Weak bone, combine: flag, careful: more}
policy:
  habit: {title: A habit, value: "on", values: ["on", "off"], reason: Test.,
          evidence: [{common_practice: habit}]}
"""
WEAK = rule("zz-weak-bone", "{finding: density, at_most: -2.5}", "{weak_bone: true}")
BARS = rule(
    "aa-bars", "{conclusion: weak_bone, holds: true}", "{limit: {thrust: barred}}",
    "{limit: {thrust: barred}}", basis="contraindication",
)  # fmt: skip
SOUND = rule(
    "sound-bone",
    "{all: [{finding: fall, is: no}, {none: [{conclusion: weak_bone, holds: true}]}]}",
    "{target: thrust}",
)


def step(seen: Seen, name: str, level: str | None = None) -> dict[str, Any]:
    found = [s for s in seen.chain["steps"] if s["rule"] == name and s.get("level") == level]
    assert len(found) == 1, [s["rule"] for s in seen.chain["steps"]]
    return dict(found[0])


def test_a_rule_that_reads_a_conclusion_comes_after_the_rule_that_wrote_it() -> None:
    """Although its id comes first; and it cites that step by number."""
    seen = see(tiny(WEAK + BARS, BOOK), {"density": amount(-30)})
    steps = seen.chain["steps"]
    assert [(s["number"], s["rule"]) for s in steps] == [(1, "zz-weak-bone"), (2, "aa-bars")]
    test = steps[1]["tests"][0]
    assert test["steps"] == [1]
    assert "ruled_out" not in test and "input" not in test and "value" not in test


def test_a_test_of_an_answer_cites_the_input_and_the_value_it_saw() -> None:
    test = step(see(tiny(WEAK, BOOK), {"density": amount(-30)}), "zz-weak-bone")["tests"][0]
    assert test == {
        "text": "T-score is at most -2.5", "result": "true", "input": "density", "value": "-3",
    }  # fmt: skip


def test_what_nobody_concluded_cites_the_rules_that_could_have() -> None:
    seen = see(tiny(WEAK + SOUND, BOOK), {"density": amount(0), "fall": no()})
    tests = step(seen, "sound-bone")["tests"]
    assert [(t["result"], t.get("ruled_out"), t.get("steps")) for t in tests] == [
        ("true", None, None), ("false", ["zz-weak-bone"], []),
    ]  # fmt: skip


def test_a_rule_that_only_holds_a_conclusion_is_not_one_that_could_have_made_it() -> None:
    holds_only = rule(
        "holds-it", "{finding: numb, is: yes}", "{care_today: with_precautions}",
        "{concern: {fracture: high}}",
    )  # fmt: skip
    raises = rule("raises-it", "{finding: fall, is: yes}", "{concern: {fracture: high}}")
    reads = rule(
        "reads-it", "{conclusion: concern.fracture, at_most: none}", "{limit: {thrust: barred}}",
        basis="precaution",
    )  # fmt: skip
    seen = see(tiny(holds_only + raises + reads), {"fall": no(), "numb": no()})
    assert step(seen, "reads-it")["tests"][0]["ruled_out"] == ["raises-it"]


def test_an_undecided_conclusion_rules_nobody_out() -> None:
    """The rule that could conclude it is still open: unknown is never absent."""
    seen = see(tiny(WEAK + BARS, BOOK))
    test = step(seen, "aa-bars")["tests"][0]
    assert test["result"] == "unknown"
    assert test["steps"] == []
    assert "ruled_out" not in test


def test_a_policy_test_shows_the_choice() -> None:
    kept = rule(
        "by-policy",
        "{all: [{policy: habit, is: on}, {finding: fall, is: yes}]}".replace("on}", '"on"}'),
        "{concern: {fracture: some}}",
    )
    test = step(see(tiny(kept, BOOK), {"fall": yes()}), "by-policy")["tests"][0]
    assert test["text"].startswith("Local policy 'A habit' is")
    assert (test["result"], test["value"]) == ("true", "on")
    assert "input" not in test


def test_levels_come_from_above_and_left_before_right() -> None:
    each = rule(
        "each", "{all: [{finding: segment.provocation, at_least: local},"
        ' {finding: side, in: ["{side}", both]}]}',
        "{segment.indication: {thrust: true}}", for_each="[segment, side]",
    )  # fmt: skip
    sided = (
        'findings:\n  side: {ask: "Side?", title: Side, kind: choice, '
        "values: [left, right, both], mirror: {left: right, right: left}}\n"
    )
    levels = ("S1", "T12", "L5")
    seen = see(
        tiny(each, sided),
        {"side": word("both"), **{f"segment.provocation@{x}": word("local") for x in levels}},
        *levels,
    )
    assert [(s["level"], s["side"]) for s in seen.chain["steps"]] == [
        (level, side) for level in ("T12", "L5", "S1") for side in ("left", "right")
    ]
    assert seen.chain["levels"] == ["T12", "L5", "S1"]


def test_prepare_steps_come_last_whatever_their_name() -> None:
    words = 'texts: {note: {say: "Mind {level}.", evidence: [{common_practice: x}]}}\n'
    first = rule("aa-says", "{feature: path.hands_on, is: no}", "{cautions: [note]}",
                 phase="prepare")  # fmt: skip
    judge = rule("zz-falls", "{finding: fall, is: yes}", "{concern: {fracture: some}}")
    seen = see(tiny(first + judge, words), {"fall": yes()})
    assert [(s["rule"], s["phase"]) for s in seen.chain["steps"]] == [
        ("zz-falls", "judge"), ("aa-says", "prepare"),
    ]  # fmt: skip


def held(then: str, holds: str, also: str = "", **more: str) -> tuple[Program, str]:
    return tiny(
        rule("asks", "{finding: numb, is: yes}", then, holds, basis="precaution", **more) + also
    ), "asks"


def test_a_hold_that_binds_is_a_step_and_says_what_it_holds() -> None:
    program, _ = held(
        "{care_today: no_hands_on, limit: {thrust: barred}}", "{limit: {thrust: barred}}"
    )
    seen = see(program)
    found = step(seen, "asks")
    assert found["status"] == "held_open"
    assert found["conclusions"] == [{"slot": "limit.thrust", "value": "barred"}]
    assert found["tests"][0]["result"] == "unknown"
    assert seen.chain["open"] == [{"rule": "asks", "holds": ["limit.thrust"]}]


def test_a_hold_weaker_than_what_fired_does_not_bind() -> None:
    fired = rule("fell", "{finding: fall, is: yes}", "{limit: {mobilization: grade_1}}",
                 basis="precaution")  # fmt: skip
    program, _ = held("{limit: {mobilization: barred}}", "{limit: {mobilization: grade_3}}", fired)
    seen = see(program, {"fall": yes()})
    assert binding_holds(seen.readings, seen.instance("asks")) == []
    assert [s["rule"] for s in seen.chain["steps"]] == ["fell"]
    assert seen.chain["open"] == [{"rule": "asks", "holds": []}]
    # without the fired rule the same hold binds
    assert len(binding_holds(see(program).readings, seen.instance("asks"))) == 1


def test_a_hold_of_what_fired_rules_say_anyway_does_not_bind() -> None:
    fired = rule("fell", "{finding: fall, is: yes}", "{limit: {thrust: barred}}",
                 basis="precaution")  # fmt: skip
    program, _ = held("{limit: {thrust: barred}}", "{limit: {thrust: barred}}", fired)
    assert [s["rule"] for s in see(program, {"fall": yes()}).chain["steps"]] == ["fell"]


def test_the_weaker_of_two_holds_does_not_bind() -> None:
    other = rule("bars", "{finding: fall, is: yes}", "{limit: {mobilization: barred}}",
                 "{limit: {mobilization: grade_1}}", basis="precaution")  # fmt: skip
    program, _ = held("{limit: {mobilization: barred}}", "{limit: {mobilization: grade_3}}", other)
    assert [s["rule"] for s in see(program).chain["steps"]] == ["bars"]


def test_a_rule_answered_no_is_nowhere() -> None:
    program, _ = held("{limit: {thrust: barred}}", "{limit: {thrust: barred}}")
    chain = see(program, {"numb": no()}).chain
    assert (chain["steps"], chain["open"]) == ([], [])


def test_every_input_is_listed_once_by_name() -> None:
    seen = see(tiny(WEAK, BOOK), {"density": amount(-30), "fall": Choice(("no", "yes"))})
    assert seen.chain["inputs"] == [
        {"name": "density", "value": "-3"},
        {"name": "fall", "one_of": ["no", "yes"]},
        {"name": "moment", "value": "before_session"},
        {"name": "path.hands_on", "value": "no"},
        {"name": "path.start_at", "value": "exercise_only"},
        {"name": "path.up_to", "value": "exercise_only"},
    ]


def test_steps_name_their_sources_once_and_their_basis() -> None:
    program, _ = held("{limit: {thrust: barred}}", "{limit: {thrust: barred}}")
    found = step(see(program, {"numb": yes()}), "asks")
    assert (found["sources"], found["basis"], found["because"]) == (
        ["s-one"],
        "precaution",
        "Test.",
    )


@pytest.mark.parametrize("key", ["steps", "open", "inputs", "levels"])
def test_the_digest_is_over_every_part(key: str) -> None:
    program, _ = held("{limit: {thrust: barred}}", "{limit: {thrust: barred}}")
    chain: Any = see(program).chain
    assert chain_digest(chain) == chain["digest"]
    assert chain_digest({**chain, "digest": "other"}) == chain["digest"]
    assert chain_digest({**chain, key: [*chain[key], "more"]}) != chain["digest"]


def test_the_same_evaluation_gives_the_same_chain() -> None:
    seen = see(tiny(WEAK + BARS, BOOK), {"density": amount(-30)})
    again = build_chain(seen.program, seen.inputs, seen.readings, seen.run.node_state)
    assert again == seen.chain


def test_every_instance_has_a_place_of_its_own() -> None:
    """So that the order of steps never depends on the order of rules."""
    each = rule("same", "{finding: fall, is: yes}", "{segment.limit: {thrust: barred}}",
                for_each="segment", basis="precaution")  # fmt: skip
    program = tiny(each + WEAK, BOOK)
    keys = [Order(program).key(i) for i in program.instances]
    assert len(set(keys)) == len(program.instances) > 2


def test_flags_are_said_as_yes_and_scales_as_their_word() -> None:
    program = tiny(WEAK + BARS, BOOK)
    flag = program.slots[program.slot_numbers["weak_bone"]]
    limit = program.slots[program.slot_numbers["limit.thrust"]]
    assert value_of(flag, 0) == value_of(flag, 1) == "yes"
    assert (value_of(limit, 0), value_of(limit, 1)) == ("barred", "allowed")
    wrote = next(i for i in program.instances if i.rule == "aa-bars").then[0]
    assert concluded(program, wrote) == {"slot": "limit.thrust", "value": "barred"}
