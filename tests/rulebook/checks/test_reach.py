"""What is called impossible is impossible, tried on every answer; plain contradictions are seen."""

import random
from decimal import Decimal
from itertools import product

import pytest

from cds.rulebook.book import Book
from cds.rulebook.checks.reach import _Walk, check
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source, need
from cds.vocabulary import values
from cds.vocabulary.values import Amount, Choice, Op, Tri
from tests.rulebook.checks.books import book_with, codes, rule

POWER = [None, *range(6)]
WORDS = [None, "no", "yes"]


def evaluate(condition: Condition, answers: dict[str, object]) -> bool:
    """Two-valued; None is an answer that does not apply."""
    if isinstance(condition, Leaf):
        answer = answers[condition.name]
        if isinstance(answer, int):
            assert condition.number is not None
            number = int(condition.number)
            return values.test_amount(Amount(answer, answer), condition.op, number) is Tri.TRUE
        if isinstance(answer, str):
            found = values.test_choice(
                Choice((answer,)), condition.op, condition.words, ("no", "yes")
            )
            return found is Tri.TRUE
        return False
    true = sum(evaluate(member, answers) for member in condition.members)
    return (true >= need(condition)) is not (condition.group is Group.NONE)


def some_condition(dice: random.Random, depth: int) -> Condition:
    if depth == 0 or dice.random() < 0.3:
        if dice.random() < 0.6:
            op = dice.choice([Op.AT_LEAST, Op.MORE_THAN, Op.AT_MOST, Op.LESS_THAN])
            number = Decimal(dice.randrange(6))
            return Leaf(Source.FINDING, "leg_power", op, (str(number),), number)
        name = dice.choice(["fall", "leg_symptoms"])
        return Leaf(
            Source.FINDING, name, dice.choice([Op.IS, Op.IS_NOT]), (dice.choice(WORDS[1:]),)
        )
    members = tuple(some_condition(dice, depth - 1) for _ in range(dice.randint(1, 3)))
    group = dice.choice(list(Group))
    return Members(group, members, dice.randint(1, len(members)) if group is Group.SOME else 0)


def test_never_called_impossible_wrongly() -> None:
    dice = random.Random(20261101)
    book = book_with()
    called = 0
    for _ in range(1500):
        condition = some_condition(dice, 3)
        possible = any(
            evaluate(condition, {"leg_power": a, "fall": b, "leg_symptoms": c})
            for a, b, c in product(POWER, WORDS, WORDS)
        )
        walk = _Walk(book, with_policy=False)
        if walk.needed(condition) is None:
            called += 1
            assert not possible, condition
            assert walk.contradictions or _leaf_alone(book, condition)
    assert called > 50


def _leaf_alone(book: Book, condition: Condition) -> bool:
    """Impossible because one test alone can never be true, which another check tells."""
    if isinstance(condition, Leaf):
        return any(
            _Walk(book, with_policy=False).needed(condition, positive) is None
            for positive in (True, False)
        )
    return any(_leaf_alone(book, member) for member in condition.members)


@pytest.mark.parametrize(
    ("when", "wanted"),
    [
        ('all: [{finding: fall, is: "yes"}, {finding: fall, is: "no"}]', ["never-fires"]),
        ('all: [{finding: fall, is: "yes"}, {none: [{finding: fall, is: "yes"}]}]',
         ["never-fires"]),
        ("all: [{feature: age, at_least: 70}, {feature: age, at_most: 69}]", ["never-fires"]),
        ("all: [{feature: age, at_least: 70}, {feature: age, at_most: 70}]", []),
        ("some: {at_least: 2, of: [{feature: age, at_least: 70}, {feature: age, at_most: 9}]}",
         ["never-fires"]),
        ("some: {at_least: 1, of: [{feature: age, at_least: 70}, {feature: age, at_most: 9}]}", []),
        ("none: [{feature: age, at_least: 70}, {feature: age, less_than: 70}]", []),
        ("all: [{conclusion: irritable, holds: true},"
         " {none: [{conclusion: irritable, holds: true}]}]",
         ["never-fires"]),
        ("all: [{conclusion: concern.fracture, at_least: high},"
         " {conclusion: concern.fracture, less_than: some}]", ["never-fires"]),
        ("all: [{conclusion: stage, is: early}, {conclusion: stage, is: late}]", ["never-fires"]),
        ("all: [{conclusion: stage, is_not: early}, {conclusion: stage, is_not: late}]", []),
        # `known: false` by another name
        ("none: [{finding: leg_power, known: true}]", ["never-fires"]),
        ("any: [{finding: leg_power, known: true}, {feature: age, at_least: 70}]", []),
        # a dead branch of an `any` is told as well
        ('any: [{feature: age, at_least: 70}, {all: [{finding: fall, is: "yes"},'
         ' {finding: fall, is_not: "yes"}]}]', ["never-fires"]),
    ],
)  # fmt: skip
def test_contradictions(when: str, wanted: list[str]) -> None:
    text = "rules:\n" + rule(f"    when: {{{when}}}\n    then: {{next_step: hold}}")
    assert codes(check, text) == wanted


@pytest.mark.parametrize(("value", "wanted"), [("1", ["off-by-policy"]), ("2", [])])
def test_an_operand_of_policy_may_switch_a_rule_off(value: str, wanted: list[str]) -> None:
    text = f"""policy:
  first: {{title: First, value: {value}, range: [1, 12], reason: Made up.,
    evidence: [{{common_practice: made up}}]}}
rules:
""" + rule(
        "    when: {all: [{feature: session_number, at_least: 2},"
        " {feature: session_number, at_most: {policy: first}}]}\n    then: {next_step: hold}"
    )
    assert codes(check, text) == wanted
