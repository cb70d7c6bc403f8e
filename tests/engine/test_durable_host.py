"""The host's own tests of inputs, against tables worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cds.engine.durable_host import facts_of, outcome_of
from cds.engine.durable_rails import Rails
from cds.engine.durable_translate import HostTest, Translation, translate
from cds.engine.port import Inputs, Outcome
from cds.rulebook.book import Write
from cds.rulebook.compile import compile_book
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Input, Op
from tests.support.books import asks, book, inputs, presence, rule

ORDER = ("none", "mild", "marked")


def said(value: Input | None, op: Op, *words: str, low: int | None = None) -> str:
    test = HostTest(Rails("true", "false"), "x", op, None, low, words, ORDER)
    translation = Translation((test,), {}, (), (), ("true", "false"))
    given = Inputs({} if value is None else {"x": value}, frozenset())
    return " ".join(facts_of(translation, given)) or "unknown"


@pytest.mark.parametrize("op", [Op.IS, Op.IS_NOT, Op.IN, Op.AT_LEAST, Op.LESS_THAN])
def test_missing_is_unknown_and_not_applicable_is_false(op: Op) -> None:
    assert said(None, op, "mild") == "unknown"
    assert said(NOT_APPLICABLE, op, "mild") == "false"


def test_known() -> None:
    assert said(None, Op.KNOWN) == "unknown"
    assert said(NOT_APPLICABLE, Op.KNOWN) == "false"
    assert said(Choice(("mild", "none")), Op.KNOWN) == "true"
    assert said(Amount(None, 3), Op.KNOWN) == "true"


@pytest.mark.parametrize(
    ("options", "op", "words", "wanted"),
    [
        (("mild",), Op.IS, ("mild",), "true"),
        (("none",), Op.IS, ("mild",), "false"),
        (("mild", "none"), Op.IS, ("mild",), "unknown"),
        (("mild", "none"), Op.IS, ("marked",), "false"),
        (("mild",), Op.IS_NOT, ("mild",), "false"),
        (("mild", "none"), Op.IS_NOT, ("marked",), "true"),
        (("mild", "none"), Op.IN, ("none", "mild"), "true"),
        (("mild", "marked"), Op.AT_LEAST, ("mild",), "true"),
        (("none", "marked"), Op.AT_LEAST, ("mild",), "unknown"),
        (("mild",), Op.MORE_THAN, ("mild",), "false"),
        (("none", "mild"), Op.AT_MOST, ("mild",), "true"),
        (("none",), Op.LESS_THAN, ("mild",), "true"),
    ],
)
def test_choices(options: tuple[str, ...], op: Op, words: tuple[str, ...], wanted: str) -> None:
    assert said(Choice(options), op, *words) == wanted


@pytest.mark.parametrize(
    ("low", "high", "op", "wanted"),
    [
        (5, 5, Op.AT_LEAST, "true"),
        (4, 4, Op.AT_LEAST, "false"),
        (4, 5, Op.AT_LEAST, "unknown"),
        (5, None, Op.AT_LEAST, "true"),
        (None, 4, Op.AT_LEAST, "false"),
        (None, None, Op.AT_LEAST, "unknown"),
        (5, 5, Op.MORE_THAN, "false"),
        (6, None, Op.MORE_THAN, "true"),
        (None, 5, Op.AT_MOST, "true"),
        (6, 9, Op.AT_MOST, "false"),
        (5, 5, Op.LESS_THAN, "false"),
        (None, 4, Op.LESS_THAN, "true"),
        (4, 6, Op.LESS_THAN, "unknown"),
    ],
)
def test_amounts(low: int | None, high: int | None, op: Op, wanted: str) -> None:
    assert said(Amount(low, high), op, low=5) == wanted


def test_a_number_where_a_word_belongs_is_refused() -> None:
    with pytest.raises(ValueError, match="no number"):
        said(Amount(1, 1), Op.IS, "mild")


def test_levels_are_said_either_way_and_unlisted_ones_are_not_asked() -> None:
    rules = [rule("a", asks("segment.s"), Write("cautions", "note"), for_each=("segment",))]
    program = compile_book(book(rules, [presence("segment.s")]))
    translation = translate(program)
    given = inputs({"segment.s@L5": "yes", "segment.s@L4": "yes"}, "L5")
    facts = facts_of(translation, given)
    assert {translation.levels[name].true in facts for name in ("L4", "T10")} == {False}
    assert translation.levels["L4"].false in facts
    assert translation.levels["L5"].true in facts
    asked = {test.input: test for test in translation.tests}
    assert asked["segment.s@L5"].rails.true in facts
    assert asked["segment.s@L4"].rails.true not in facts


def test_an_instance_both_true_and_false_is_refused() -> None:
    program = compile_book(book([rule("a", asks("x"), Write("cautions", "note"))], [presence("x")]))
    translation = translate(program)
    true, false = translation.instances[0][1].true, translation.instances[0][1].false
    given = inputs({})

    def outcome(*facts: str) -> Outcome:
        return outcome_of(translation, program, given, frozenset(facts))

    assert outcome() == Outcome((), (0,))
    assert outcome(true) == Outcome((0,), ())
    assert outcome(false) == Outcome((), ())
    with pytest.raises(ValueError, match="both"):
        outcome(true, false)
    with pytest.raises(ValueError, match="zip"):
        outcome_of(replace(translation, instances=()), program, given, frozenset())
