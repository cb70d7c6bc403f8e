"""Compiling: instances, reads, slots, guards, sharing, policy; equal books make equal Programs."""

from __future__ import annotations

from decimal import Decimal
from random import Random

import pytest

from cds.engine.chainer import Chainer
from cds.engine.randombook import random_book, shuffled
from cds.rulebook.book import Phase, PolicyChoice, Write
from cds.rulebook.compile import compile_book, policy_test
from cds.rulebook.conditions import Leaf, Source, leaves
from cds.rulebook.program import Program
from cds.vocabulary.model import Combine, Conclusion, Feature, Kind, Scope
from cds.vocabulary.values import Op
from tests.support.books import (
    EVIDENCE,
    all_of,
    any_of,
    asks,
    book,
    choice,
    concluded,
    inputs,
    none_of,
    number,
    presence,
    rule,
)

NOTE = Write("cautions", "note")


def fired(program: Program, values: dict[str, object], *levels: str) -> list[tuple[object, ...]]:
    """(rule, level, side) of what fires."""
    outcome = Chainer(program).evaluate(inputs(values, *levels))  # type: ignore[arg-type]
    return [(i.rule, i.level, i.side) for i in (program.instances[n] for n in outcome.fired)]


def test_instances_are_numbered_by_rule_level_side() -> None:
    rules = [
        rule("b", asks("segment.s"), NOTE, for_each=("segment",)),
        rule("a", asks("f"), NOTE),
    ]
    program = compile_book(book(rules, [presence("f"), presence("segment.s")]))
    assert [i.number for i in program.instances] == list(range(11))
    assert [(i.rule, i.level) for i in program.instances][:2] == [("a", None), ("b", "T10")]


def test_a_level_that_is_not_listed_is_quiet() -> None:
    program = compile_book(
        book([rule("a", asks("f"), NOTE, for_each=("segment",))], [presence("f")])
    )
    assert fired(program, {"f": "yes"}, "L4", "unnamed") == [
        ("a", "L4", None),
        ("a", "unnamed", None),
    ]
    assert Chainer(program).evaluate(inputs()).open == ()
    assert len(Chainer(program).evaluate(inputs({}, "L5")).open) == 1


def test_every_written_leaf_is_read_in_order_with_its_ground() -> None:
    flag = Conclusion("flag", "Flag", Combine.FLAG)
    early = PolicyChoice("early", "Early", "off", ("off", "on"), None, None, "r", EVIDENCE)
    when = all_of(
        asks("segment.s"),
        none_of(asks("f"), asks("f")),
        concluded("flag"),
        Leaf(Source.POLICY, "early", Op.IS, ("on",)),
    )
    rules = [
        rule("a", when, NOTE, for_each=("segment",)),
        rule("b", asks("f"), Write("flag", "yes")),
    ]
    program = compile_book(
        book(rules, [presence("f"), presence("segment.s")], [flag], policy={"early": early})
    )
    instance = program.instances[7]
    assert instance.level == "L5"
    assert [read.leaf for read in instance.reads] == list(leaves(when))
    assert [read.input for read in instance.reads] == ["segment.s@L5", "f", "f", None, None]
    slot = program.slot_numbers["flag"]
    assert [read.slot for read in instance.reads] == [None, None, None, slot, None]
    run = Chainer(program).start(inputs({"f": "yes"}, "L5"))
    assert [run.node_state(read.literal).name for read in instance.reads] == [
        "UNKNOWN", "TRUE", "TRUE", "TRUE", "FALSE",
    ]  # fmt: skip


def test_slots_carry_values_otherwise_and_writers() -> None:
    barred = Write("limit", "barred", "thrust")
    rules = [
        rule(
            "a", asks("f"), Write("limit", "barred", "thrust", "adjacent"),
            holds=(Write("limit", "allowed", "thrust", "adjacent"),), for_each=("segment",),
        ),
        rule("b", asks("f"), Write("care_today", "no_hands_on"), barred),
    ]  # fmt: skip
    program = compile_book(book(rules, [presence("f")]))
    names = [slot.name for slot in program.slots]
    assert names[0] == "care_today"
    assert names[1:3] == ["limit.thrust", "limit.thrust@T10"]
    assert "limit.thrust@unnamed" not in names
    slot = program.slots[program.slot_numbers["limit.thrust@L5"]]
    assert (slot.values, slot.otherwise) == (("barred", "allowed"), "allowed")
    assert [program.instances[n].level for n in slot.writers] == ["L4", "S1"]
    assert [slot.number for slot in program.slots] == list(range(len(program.slots)))


def test_sides_fill_operands_and_written_values() -> None:
    where = choice("where", "none", "left", "right")
    single = Conclusion("turn", "Turn", Combine.SINGLE, values=("left", "right"))
    turned = Write("turn", "{other_side}")
    rules = [
        rule("a", asks("where", Op.IS, "{side}"), turned, for_each=("side",)),
        rule("b", concluded("turn", Op.IS, "{side}"), NOTE, for_each=("side",)),
    ]
    program = compile_book(book(rules, [where], [single]))
    assert fired(program, {"where": "left"}) == [("a", None, "left"), ("b", None, "right")]


def test_case_readers_collect_every_level_that_writes() -> None:
    flag = Conclusion("flag", "Flag", Combine.FLAG)
    rules = [
        rule("a", asks("segment.s"), Write("flag", "yes"), for_each=("segment",)),
        rule("b", concluded("flag"), NOTE),
    ]
    program = compile_book(book(rules, [presence("segment.s")], [flag]))
    assert ("b", None, None) in fired(program, {"segment.s@L5": "yes"}, "L4", "L5")
    assert fired(program, {"segment.s@L5": "no", "segment.s@L4": "no"}, "L4", "L5") == []


def test_level_and_case_slots_are_apart() -> None:
    both = Conclusion("flag", "Flag", Combine.FLAG, (Scope.CASE, Scope.SEGMENT))
    rules = [
        rule("a", asks("segment.s"), Write("flag", "yes", None, "segment"), for_each=("segment",)),
        rule("b", concluded("segment.flag"), NOTE, for_each=("segment",)),
        rule("c", concluded("flag"), NOTE),
    ]
    program = compile_book(book(rules, [presence("segment.s")], [both]))
    assert fired(program, {"segment.s@L5": "yes"}, "L4", "L5") == [
        ("a", "L5", None),
        ("b", "L5", None),
    ]


def test_prepare_rules_wait_for_the_path() -> None:
    up_to = Feature("path.up_to", Kind.CHOICE, "Up to", values=("low", "high"), ordered=True)
    rules = [
        rule("a", asks("f"), NOTE, phase=Phase.PREPARE),
        rule("b", Leaf(Source.FEATURE, "path.up_to", Op.AT_LEAST, ("high",)), NOTE,
             phase=Phase.PREPARE),
    ]  # fmt: skip
    program = compile_book(book(rules, [presence("f")], features=[up_to]))
    run = Chainer(program).start(inputs({"f": "yes"}))
    assert run.outcome().fired == ()
    assert run.outcome().open == (0, 1)
    run.extend(inputs({"path.up_to": "low"}).values)
    assert run.outcome().fired == (0,)
    assert run.outcome().open == ()


def test_identical_tests_and_groups_are_shared() -> None:
    when = any_of(asks("f"), asks("g"))
    rules = [rule(f"r{n}", all_of(when, asks("h")), NOTE) for n in range(5)]
    program = compile_book(book(rules, [presence(n) for n in "fgh"]))
    assert (len(program.leaves), len(program.gates)) == (3, 2)
    assert len({instance.root for instance in program.instances}) == 1


def test_numbers_become_whole_steps() -> None:
    leaf = Leaf(Source.FINDING, "n", Op.AT_LEAST, ("2.5",), Decimal("2.5"))
    program = compile_book(book([rule("a", leaf, NOTE)], [number("n", "0.5")]))
    assert program.leaves[0].limit == 5
    assert program.leaves[0].words == ()


def test_a_number_between_steps_is_refused() -> None:
    leaf = Leaf(Source.FINDING, "n", Op.AT_LEAST, ("2.3",), Decimal("2.3"))
    with pytest.raises(ValueError, match="whole number of steps"):
        compile_book(book([rule("a", leaf, NOTE)], [number("n", "0.5")]))


@pytest.mark.parametrize(
    ("op", "words", "wanted"),
    [
        (Op.IS, ("5",), True),
        (Op.IS_NOT, ("5",), False),
        (Op.IN, ("4", "5"), True),
        (Op.AT_LEAST, ("6",), False),
        (Op.MORE_THAN, ("4",), True),
        (Op.AT_MOST, ("5",), True),
        (Op.LESS_THAN, ("5",), False),
    ],
)
def test_whole_number_policies(op: Op, words: tuple[str, ...], wanted: bool) -> None:
    session = PolicyChoice("session", "Session", 5, (), 1, 12, "r", EVIDENCE)
    assert policy_test(session, Leaf(Source.POLICY, "session", op, words)) is wanted


def test_members_come_before_gates_and_levels_of_random_books() -> None:
    for seed in range(20):
        program = compile_book(random_book(Random(seed)))
        assert program.nodes == len(program.leaves) + len(program.gates)
        for gate in program.gates:
            assert all((m if m >= 0 else ~m) < gate.node for m in gate.members)
        stage = {name: place for place, ids in enumerate(program.stages) for name in ids}
        assert set(stage) == set(program.rules)
        for instance in program.instances:
            for read in instance.reads:
                if read.slot is not None:
                    for writer in program.slots[read.slot].writers:
                        assert stage[program.instances[writer].rule] < stage[instance.rule]


def test_the_order_of_rules_and_keys_never_changes_the_program() -> None:
    for seed in range(30):
        rng = Random(seed)
        one = random_book(rng)
        assert compile_book(shuffled(rng, one)) == compile_book(one)
