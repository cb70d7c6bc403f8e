"""What a test of a conclusion means, read off a network of one open, fired or quiet rule each."""

from __future__ import annotations

from itertools import product

import pytest

from cds.engine.chainer import Chainer
from cds.rulebook.book import Write
from cds.rulebook.compile import compile_book
from cds.rulebook.compile_slots import slot_otherwise, slot_values
from cds.vocabulary.model import Combine, Conclusion
from cds.vocabulary.values import Op
from tests.support.books import asks, book, concluded, inputs, presence, rule

VALUES = ("v0", "v1", "v2")


def _possible(combine: Combine, otherwise: int, states: tuple[str | None, ...]) -> set[int]:
    """Every completion of the open rules, tried one by one."""
    found = set()
    for bits in product((False, True), repeat=len(states)):
        if all(s is None or (s == "yes") is bit for s, bit in zip(states, bits, strict=True)):
            fired = [place for place, bit in enumerate(bits) if bit]
            pick = min if combine is Combine.LOWEST else max
            found.add(pick(fired) if fired else otherwise)
    return found


@pytest.mark.parametrize("combine", [Combine.WORST, Combine.HIGHEST, Combine.LOWEST])
@pytest.mark.parametrize("otherwise", [None, *VALUES])
def test_scale_tests_equal_all_completions(combine: Combine, otherwise: str | None) -> None:
    """One rule per value, each fired, quiet or open: the gate says what every completion says."""
    scale = Conclusion("scale", "Scale", combine, values=VALUES, otherwise=otherwise)
    ops = (Op.AT_LEAST, Op.MORE_THAN, Op.AT_MOST, Op.LESS_THAN)
    tests = [(op, value) for op in ops for value in VALUES]
    writers = [rule(f"w{n}", asks(f"f{n}"), Write("scale", v)) for n, v in enumerate(VALUES)]
    readers = [
        rule(f"r{n:02}", concluded("scale", op, v), Write("cautions", "note"))
        for n, (op, v) in enumerate(tests)
    ]
    findings = [presence(f"f{n}") for n in range(3)]
    program = compile_book(book([*writers, *readers], findings, [scale]))
    engine = Chainer(program)
    number = {i.rule: i.number for i in program.instances}
    start = VALUES.index(slot_otherwise(scale, None) or "")
    for states in product(("yes", "no", None), repeat=3):
        given = {f"f{n}": s for n, s in enumerate(states) if s is not None}
        outcome = engine.evaluate(inputs(given))
        possible = _possible(combine, start, states)
        for n, (op, v) in enumerate(tests):
            limit = VALUES.index(v)
            results = {
                {
                    Op.AT_LEAST: place >= limit,
                    Op.MORE_THAN: place > limit,
                    Op.AT_MOST: place <= limit,
                    Op.LESS_THAN: place < limit,
                }[op]
                for place in possible
            }
            reader = number[f"r{n:02}"]
            said = {True} if reader in outcome.fired else {False}
            said = {True, False} if reader in outcome.open else said
            assert said == results, (states, op, v)


def test_otherwise_is_the_mild_end_unless_declared() -> None:
    limit = Conclusion("limit", "", Combine.LOWEST, keys=("a",), key_values=(("a", ("x", "y")),))
    assert slot_otherwise(limit, "a") == "y"
    assert slot_otherwise(Conclusion("c", "", Combine.WORST, values=("x", "y")), None) == "x"
    assert slot_otherwise(Conclusion("c", "", Combine.FLAG), None) is None
    assert slot_values(Conclusion("c", "", Combine.FLAG), None) == ("no", "yes")


@pytest.mark.parametrize(
    ("op", "words", "given", "wanted"),
    [
        (Op.HAS, ("m1",), {"f0": "yes"}, "fired"),
        (Op.HAS, ("m1",), {"f1": "yes"}, "open"),
        (Op.HAS, ("m1",), {"f0": "no", "f1": "yes"}, "quiet"),
        (Op.HAS_ANY_OF, ("m1", "m2"), {"f1": "yes"}, "fired"),
        (Op.HAS_ANY_OF, ("m1", "m2"), {"f0": "no", "f1": "no"}, "quiet"),
        (Op.EMPTY, (), {}, "open"),
        (Op.EMPTY, (), {"f0": "no", "f1": "no"}, "fired"),
        (Op.EMPTY, (), {"f1": "yes"}, "quiet"),
    ],
)
def test_sets(op: Op, words: tuple[str, ...], given: dict[str, str], wanted: str) -> None:
    pool = Conclusion("pool", "Pool", Combine.SET, values=("m1", "m2"))
    rules = [
        rule("a", asks("f0"), Write("pool", "m1")),
        rule("b", asks("f1"), Write("pool", "m2")),
        rule("c", concluded("pool", op, *words), Write("cautions", "note")),
    ]
    program = compile_book(book(rules, [presence("f0"), presence("f1")], [pool]))
    outcome = Chainer(program).evaluate(inputs(given))
    said = "fired" if 2 in outcome.fired else "open" if 2 in outcome.open else "quiet"
    assert said == wanted


def test_nobody_writes_it() -> None:
    flag = Conclusion("flag", "Flag", Combine.FLAG)
    program = compile_book(
        book([rule("a", concluded("flag"), Write("cautions", "note"))], [], [flag])
    )
    outcome = Chainer(program).evaluate(inputs())
    assert (outcome.fired, outcome.open) == ((), ())
    assert program.slots[program.slot_numbers["flag"]].writers == ()
