"""Sentences for tests and values, and chain inputs that read back as what they were."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.explain.words import (
    Phrases,
    amount_text,
    declared,
    filled,
    input_json,
    input_of,
    leaf_text,
    number_text,
    title_of,
    value_text,
    word,
)
from cds.rulebook.conditions import Leaf, Source, leaves
from cds.rulebook.vetting import load_program
from cds.vocabulary.model import Kind
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Input, Op
from tests.explain.seen import rule
from tests.support.tiny import tiny

PROGRAM = tiny(
    rule("r", "{finding: fall, is: yes}", "{concern: {fracture: some}}"),
    """
findings:
  born: {ask: "When?", title: Born, kind: date}
  times: {ask: "How often?", title: Times, kind: count}
  mark: {ask: "Mark?", title: Mark, kind: score, range: [0, 10]}
  dose: {ask: "Dose?", title: Dose, kind: number, unit: mg, step: 2.5, range: [0, 500]}
  years: {ask: "Years?", title: Years, kind: count, unit: a}
policy:
  habit: {title: A habit, value: "on", values: ["on", "off"], reason: Test.,
          evidence: [{common_practice: habit}]}
conclusions:
  weak_bone: {title: Weak bone at this level, combine: flag, scope: segment, careful: more}
""",
)
NUMERIC = ("born", "times", "mark", "dose", "density", "years", "age", "pain_between")
WORDS = ("fall", "segment.provocation@L5", "moment", "sex")
SHIPPED = load_program(Path(__file__).parents[2] / "rules")


def days() -> st.SearchStrategy[int]:
    return st.dates().map(date.toordinal)


@st.composite
def inputs(draw: st.DrawFn) -> tuple[str, Input]:
    """An input of any kind: not applicable, one or several words, exact or half-open amounts."""
    name = draw(st.sampled_from((*NUMERIC, *WORDS)))
    if draw(st.integers(0, 9)) == 0:
        return name, NOT_APPLICABLE
    known = declared(PROGRAM, name)
    assert known is not None
    if name in WORDS:
        some = draw(st.lists(st.sampled_from(known.values), min_size=1, unique=True))
        return name, Choice(tuple(some))
    steps = days() if known.kind is Kind.DATE else st.integers(-(10**6), 10**6)
    low, high = sorted((draw(steps), draw(steps)))
    shape = draw(st.sampled_from(("exact", "between", "low", "high")))
    if shape == "exact":
        return name, Amount(low, low)
    return name, Amount(None if shape == "high" else low, None if shape == "low" else high)


@given(inputs())
def test_an_input_reads_back_as_it_was(pair: tuple[str, Input]) -> None:
    name, value = pair
    entry = input_json(PROGRAM, name, value)
    assert input_of(PROGRAM, entry) == value
    assert entry["name"] == name
    assert not any(isinstance(part, float) for part in entry.values())


@given(inputs())
def test_every_value_has_words(pair: tuple[str, Input]) -> None:
    text = value_text(PROGRAM, *pair)
    assert text and "None" not in text and "_" not in text


@pytest.mark.parametrize(
    "entry",
    [
        {}, {"name": "nobody", "value": "yes"}, {"name": 3, "value": "yes"},
        {"name": "fall"}, {"name": "fall", "value": "maybe"}, {"name": "fall", "value": True},
        {"name": "fall", "value": None}, {"name": "fall", "one_of": []},
        {"name": "fall", "one_of": ["yes", "maybe"]}, {"name": "fall", "one_of": "yes"},
        {"name": "fall", "not_applicable": False}, {"name": "fall", "not_applicable": 1},
        {"name": "density", "value": "-2.55"}, {"name": "density", "value": -2.5},
        {"name": "density", "value": "low"}, {"name": "density", "value": ""},
        {"name": "density"}, {"name": "density", "low": 1}, {"name": "density", "low": "NaN"},
        {"name": "density", "value": "Infinity"}, {"name": "dose", "value": "1"},
        {"name": "born", "value": "2026-02-30"}, {"name": "born", "value": "7"},
    ],
)  # fmt: skip
def test_what_is_no_input_is_refused(entry: dict[str, object]) -> None:
    assert input_of(PROGRAM, entry) is None


def test_a_broken_bound_is_never_read_as_no_bound() -> None:
    assert input_of(PROGRAM, {"name": "density", "low": "1", "high": "nonsense"}) is None
    assert input_of(PROGRAM, {"name": "density", "low": "x", "high": "1"}) is None


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        ("fall", NOT_APPLICABLE, "does not apply"),
        ("moment", Choice(("before_session",)), "before session"),
        ("fall", Choice(("no", "yes")), "no or yes"),
        ("density", Amount(-25, -25), "-2.5"),
        ("density", Amount(0, 0), "0"),
        ("density", Amount(-10, 10), "-1 to 1"),
        ("times", Amount(3, None), "at least 3"),
        ("times", Amount(None, 3), "at most 3"),
        ("times", Amount(None, None), "some number"),
        ("dose", Amount(3, 3), "7.5"),
        ("born", Amount(*[date(1992, 3, 4).toordinal()] * 2), "1992-03-04"),
    ],
)
def test_values_as_people_write_them(name: str, value: Input, text: str) -> None:
    assert value_text(PROGRAM, name, value) == text


@pytest.mark.parametrize(
    ("number", "text"),
    [("0", "0"), ("-0", "0"), ("1E+2", "100"), ("2.50", "2.5"), ("0.0001", "0.0001"),
     ("1000000", "1000000"), ("-0.0", "0"), ("1E-7", "0.0000001")],
)  # fmt: skip
def test_numbers_have_no_exponent_and_no_empty_digits(number: str, text: str) -> None:
    assert number_text(Decimal(number)) == text


def test_an_amount_of_nothing_declared_is_its_steps() -> None:
    assert amount_text(None, 12) == "12"


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("fall", "Fall"),
        ("segment.provocation", "Pain on provocation"),
        ("segment.provocation@L5", "Pain on provocation at L5"),
        ("segment.weak_bone@L4", "Weak bone at L4"),
        ("limit.thrust@L5", "Most that is open: thrust at L5"),
        ("concern.fracture", "Concern: fracture"),
        ("no_such_thing", "no such thing"),
    ],
)
def test_titles(name: str, title: str) -> None:
    conclusions = PROGRAM.conclusions
    title = title.replace("Most that is open", conclusions["limit"].title)
    assert title_of(PROGRAM, name) == title.replace("Concern", conclusions["concern"].title)


def leaf(source: Source, name: str, op: Op, *words: str, number: str | None = None) -> Leaf:
    return Leaf(source, name, op, words, None if number is None else Decimal(number))


@pytest.mark.parametrize(
    ("tested", "text"),
    [
        (leaf(Source.FINDING, "fall", Op.IS, "yes"), "Fall: yes"),
        (leaf(Source.FINDING, "fall", Op.IS_NOT, "yes"), "Fall is not yes"),
        (leaf(Source.FINDING, "fall", Op.KNOWN), "Fall is recorded"),
        (leaf(Source.FINDING, "density", Op.AT_MOST, number="-2.5"), "T-score is at most -2.5"),
        (leaf(Source.FINDING, "dose", Op.MORE_THAN, number="7.50"), "Dose is more than 7.5 mg"),
        (leaf(Source.FINDING, "years", Op.LESS_THAN, number="70"), "Years is less than 70 years"),
        (leaf(Source.FINDING, "segment.provocation", Op.IN, "local", "concordant"),
         "Pain on provocation at L5 is one of local or concordant"),
        (leaf(Source.CONCLUSION, "segment.weak_bone", Op.HOLDS), "Weak bone at L5 holds"),
        (leaf(Source.POLICY, "habit", Op.IS, "on"), "Local policy 'A habit' is on"),
        (leaf(Source.FEATURE, "moment", Op.IS, "before_session"),
         "Moment of the request is before session"),
        (leaf(Source.FEATURE, "segment.flexed_side", Op.IS, "{side}"), None),
    ],
)  # fmt: skip
def test_a_test_reads_as_a_phrase(tested: Leaf, text: str | None) -> None:
    said = leaf_text(PROGRAM, tested, "L5", "left")
    if text is None:
        assert said.endswith("is left")
    else:
        assert said == text


def test_every_test_of_the_shipped_rules_reads_plainly() -> None:
    """No placeholder, no underscore, no missing title, whatever the operator."""
    texts = [
        leaf_text(SHIPPED, tested, "L5", "right")
        for shipped in SHIPPED.rules.values()
        for tested in leaves(shipped.when)
    ]
    assert len(texts) > 200
    for text in texts:
        assert not set("{}_") & set(text), text
        assert text == text.strip() and "  " not in text, text


def test_kept_phrases_are_those_put_together_anew() -> None:
    phrases = Phrases(SHIPPED)
    pairs = [(i, read) for i in SHIPPED.instances for read in i.reads]
    for _ in range(2):  # the second time they come from what was kept
        for instance, read in pairs:
            anew = leaf_text(SHIPPED, read.leaf, instance.level, instance.side)
            assert phrases.of(instance, read) == anew


def test_placeholders() -> None:
    text = "{side}, {other_side}, {level}"
    assert filled(text, "L5", "left") == "left, right, L5"
    assert filled(text, "L5", "right") == "right, left, L5"
    assert filled(text, None, None) == text
    assert filled("plain", "L5", "left") == "plain"


def test_words_for_people() -> None:
    assert word("with_precautions") == "with precautions"
