"""The second translation: reads nothing of the network, needs no other engine to be checked.

Derivations are run here by one pass of set inclusion, and compared with the recursive oracle.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from cds.engine.durable_host import facts_of, outcome_of
from cds.engine.durable_translate import translate
from cds.engine.port import Inputs, Outcome
from cds.engine.randombook import random_book
from cds.engine.randomcase import random_inputs
from cds.engine.reference import Reference
from cds.rulebook.book import Phase, Write
from cds.rulebook.compile import compile_book
from cds.rulebook.conditions import Leaf, Source
from cds.rulebook.program import Program
from cds.vocabulary.model import Combine, Conclusion, Feature, Kind, Scope
from cds.vocabulary.values import NOT_APPLICABLE, Input, Op
from tests.support.books import (
    RUNGS,
    any_of,
    asks,
    book,
    concluded,
    inputs,
    none_of,
    presence,
    rule,
    some_of,
)

NOTE = Write("cautions", "note")


def outcome(program: Program, given: Inputs) -> Outcome:
    translation = translate(program)
    facts = facts_of(translation, given)
    found = set(facts)
    for derivation in translation.derivations:
        if found.issuperset(derivation.needs):
            found.add(derivation.gives)
    return outcome_of(translation, program, given, frozenset(found))


def test_it_never_looks_at_the_network() -> None:
    """With every compiled leaf, gate, slot and literal taken away the translation is the same."""
    for seed in range(20):
        program = compile_book(random_book(Random(seed)))
        bare = replace(
            program, leaves=(), gates=(), nodes=0, slots=(), slot_numbers={}, stages=(),
            instances=tuple(
                replace(i, root=0, then=(), holds=(), reads=(), prepare=False)
                for i in program.instances
            ),
        )  # fmt: skip
        assert translate(bare) == translate(program)


def test_random_books_against_the_oracle() -> None:
    for seed in range(40):
        rng = Random(seed)
        program = compile_book(random_book(rng, careful=seed % 2 == 0))
        for _ in range(5):
            given = random_inputs(rng, program)
            assert outcome(program, given) == Reference(program).evaluate(given), seed


def test_the_same_program_gives_the_same_translation() -> None:
    program = compile_book(random_book(Random(3)))
    assert translate(program) == translate(program)


def test_every_name_is_listed() -> None:
    translation = translate(compile_book(random_book(Random(3))))
    used = {name for rule in translation.derivations for name in (*rule.needs, rule.gives)}
    assert used <= set(translation.names)
    assert len(set(translation.names)) == len(translation.names)


@pytest.mark.parametrize(
    ("answers", "state"),
    [
        ({}, "open"),
        ({"a": "yes"}, "open"),
        ({"a": "yes", "b": "yes"}, "quiet"),
        ({"a": "no", "b": "no"}, "fired"),
        ({"a": "no", "b": NOT_APPLICABLE}, "fired"),
        ({"a": "no", "b": "yes", "c": "no"}, "fired"),
    ],
)
def test_none_over_some(answers: dict[str, Input | str | int], state: str) -> None:
    when = none_of(some_of(2, asks("a"), asks("b"), asks("c")))
    program = compile_book(book([rule("r", when, NOTE)], [presence(n) for n in "abc"]))
    found = outcome(program, inputs(answers))
    assert (found.fired, found.open) == (
        (0,) if state == "fired" else (),
        (0,) if state == "open" else (),
    )


def _limits(op: Op, word: str) -> Program:
    """L4 limits its neighbours, and a rule of each level reads its own limit."""
    wide = Write("limit", "barred", "thrust", "adjacent")
    reads = concluded("segment.limit.thrust", op, word)
    return compile_book(
        book(
            [
                rule("a", asks("segment.s"), wide, for_each=("segment",)),
                rule("b", reads, NOTE, for_each=("segment",), phase=Phase.PREPARE),
            ],
            [presence("segment.s")],
            features=[Feature("path.up_to", Kind.CHOICE, "Up to", values=RUNGS, ordered=True)],
        )
    )


@pytest.mark.parametrize(
    ("levels", "answers", "fired", "still"),
    [
        (("L4", "L5"), {"L4": "yes", "L5": "no"}, {"a@L4", "b@L5"}, set()),
        (("L4", "L5"), {"L4": "yes"}, {"a@L4", "b@L5"}, {"a@L5", "b@L4"}),
        (("L4", "L2"), {"L4": "yes", "L2": "no"}, {"a@L4"}, set()),
        (("L5",), {"L4": "yes", "L5": "no"}, set(), set()),
    ],
)
def test_a_neighbour_limits_and_an_unlisted_one_does_not(
    levels: tuple[str, ...], answers: dict[str, str], fired: set[str], still: set[str]
) -> None:
    program = _limits(Op.AT_MOST, "barred")
    values = {f"segment.s@{level}": word for level, word in answers.items()}
    found = outcome(program, inputs({**values, "path.up_to": "thrust"}, *levels))
    names = {i.number: f"{i.rule}@{i.level}" for i in program.instances}
    assert {names[number] for number in found.fired} == fired
    assert {names[number] for number in found.open} == still


def test_prepare_rules_wait_for_the_path() -> None:
    program = _limits(Op.AT_LEAST, "allowed")
    answers: dict[str, Input | str | int] = {"segment.s@L5": "no"}
    reader = next(i.number for i in program.instances if (i.rule, i.level) == ("b", "L5"))
    assert outcome(program, inputs(answers, "L5")).open == (reader,)
    path: dict[str, Input | str | int] = {**answers, "path.up_to": "thrust"}
    assert outcome(program, inputs(path, "L5")).fired == (reader,)
    path["path.up_to"] = NOT_APPLICABLE
    assert outcome(program, inputs(path, "L5")) == Outcome((), ())


@pytest.mark.parametrize("combine", [Combine.WORST, Combine.HIGHEST, Combine.LOWEST])
@pytest.mark.parametrize("otherwise", [None, "v0", "v1", "v2"])
@pytest.mark.parametrize("op", [Op.AT_LEAST, Op.MORE_THAN, Op.AT_MOST, Op.LESS_THAN])
def test_scales_at_every_place_against_the_oracle(
    combine: Combine, otherwise: str | None, op: Op
) -> None:
    values = ("v0", "v1", "v2")
    scale = Conclusion("scale", "Scale", combine, (Scope.CASE,), values=values, otherwise=otherwise)
    rules = [rule(f"w{n}", asks(f"f{n}"), Write("scale", f"v{n}")) for n in range(3)]
    rules += [rule(f"x{n}", concluded("scale", op, f"v{n}"), NOTE) for n in range(3)]
    program = compile_book(book(rules, [presence(f"f{n}") for n in range(3)], [scale]))
    for answers in [(a, b, c) for a in "yn?" for b in "yn?" for c in "yn?"]:
        words = {"y": "yes", "n": "no"}
        given = inputs({f"f{n}": words[a] for n, a in enumerate(answers) if a in words})
        assert outcome(program, given) == Reference(program).evaluate(given), answers


def test_policy_folds_to_a_constant() -> None:
    base = random_book(Random(1))
    found = {}
    for op, word in ((Op.IS, "acute"), (Op.IS_NOT, "acute")):
        leaf = Leaf(Source.POLICY, "early", op, (word,))
        policy = {"early": replace(base.policy["early"], value="acute")}
        when = any_of(leaf, asks("a"))
        program = compile_book(book([rule("r", when, NOTE)], [presence("a")], policy=policy))
        found[op] = outcome(program, inputs({"a": "no"})).fired
    assert found == {Op.IS: (0,), Op.IS_NOT: ()}
