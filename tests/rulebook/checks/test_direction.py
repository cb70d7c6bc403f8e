"""In books the check lets pass, adding a careful conclusion never makes anything less careful.

Random small books of flags and scales, careful, permissive and neutral, tried on every answer and
every careful conclusion that could be added; the books it refuses hold real violations.
"""

import random
from dataclasses import replace
from itertools import product

import pytest

from cds.rulebook.book import Book, Rule, Write
from cds.rulebook.checks.direction import check
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source, need
from cds.vocabulary.model import Careful, Combine, Conclusion
from cds.vocabulary.values import NUMERIC_OPS, Op
from tests.rulebook.checks.books import book_with, codes, messages, rule

SCALE = ("low", "middle", "high")
FINDINGS = ("f0", "f1")
KINDS = (Combine.FLAG, Combine.WORST, Combine.LOWEST)
Contributions = dict[str, list[str]]


def some_book(dice: random.Random, base: Book) -> Book:
    conclusions: dict[str, Conclusion] = {}
    rules: dict[str, Rule] = {}
    for number in range(5):
        name = f"s{number}"
        combine = dice.choice(KINDS)
        careful = dice.choice(list(Careful))
        mild = SCALE[-1] if combine is Combine.LOWEST else SCALE[0]
        otherwise = dice.choice(SCALE) if careful is Careful.NEUTRAL else mild
        conclusions[name] = Conclusion(
            name,
            name,
            combine,
            values=() if combine is Combine.FLAG else SCALE,
            otherwise=None if combine is Combine.FLAG else otherwise,
            careful=careful,
            output=True,
        )
        for turn in range(dice.randint(1, 2)):
            when = some_condition(dice, list(conclusions.values())[:-1], 2)
            value = "yes" if combine is Combine.FLAG else dice.choice(SCALE)
            key = f"r{number}-{turn}"
            rules[key] = replace(
                base.rules["stirred-up"], id=key, when=when, then=(Write(name, value),), holds=()
            )
    return replace(base, conclusions=conclusions, rules=rules)


def some_condition(dice: random.Random, below: list[Conclusion], depth: int) -> Condition:
    if depth and dice.random() < 0.6:
        members = tuple(some_condition(dice, below, depth - 1) for _ in range(dice.randint(1, 2)))
        return Members(dice.choice([Group.ALL, Group.ANY, Group.NONE]), members)
    if not below or dice.random() < 0.3:
        return Leaf(Source.FINDING, dice.choice(FINDINGS), Op.IS, ("yes",))
    read = dice.choice(below)
    if read.combine is Combine.FLAG:
        return Leaf(Source.CONCLUSION, read.name, Op.HOLDS)
    return Leaf(
        Source.CONCLUSION, read.name, dice.choice(sorted(NUMERIC_OPS)), (dice.choice(SCALE),)
    )


def stands(conclusion: Conclusion, values: list[str]) -> int:
    """The position a slot stands at, from what was concluded."""
    if conclusion.combine is Combine.FLAG:
        return int(bool(values))
    places = [SCALE.index(value) for value in values]
    assert conclusion.otherwise is not None
    if not places:
        return SCALE.index(conclusion.otherwise)
    return min(places) if conclusion.combine is Combine.LOWEST else max(places)


def holds(condition: Condition, book: Book, answers: dict[str, bool], found: Contributions) -> bool:
    if isinstance(condition, Leaf):
        if condition.source is Source.FINDING:
            return answers[condition.name]
        place = stands(book.conclusions[condition.name], found[condition.name])
        if condition.op is Op.HOLDS:
            return bool(place)
        limit = SCALE.index(condition.words[0])
        return {
            Op.AT_LEAST: place >= limit,
            Op.MORE_THAN: place > limit,
            Op.AT_MOST: place <= limit,
            Op.LESS_THAN: place < limit,
        }[condition.op]
    true = sum(holds(member, book, answers, found) for member in condition.members)
    return (true >= need(condition)) is not (condition.group is Group.NONE)


def decide(book: Book, answers: dict[str, bool], added: tuple[str, str] | None) -> Contributions:
    found: Contributions = {name: [] for name in book.conclusions}
    if added is not None:
        found[added[0]].append(added[1])
    for rule_ in book.rules.values():  # in the order of what they write
        if holds(rule_.when, book, answers, found):
            found[rule_.then[0].conclusion].append(rule_.then[0].value)
    return found


def care(book: Book, found: Contributions) -> list[int]:
    """For each careful and permissive conclusion a number that grows with care."""
    grown: list[int] = []
    for name, conclusion in book.conclusions.items():
        place = stands(conclusion, found[name])
        added = -place if conclusion.combine is Combine.LOWEST else place
        if conclusion.careful is not Careful.NEUTRAL:
            grown.append(added if conclusion.careful is Careful.MORE else -added)
    return grown


def violated(book: Book) -> bool:
    more = [c for c in book.conclusions.values() if c.careful is Careful.MORE]
    additions = [(c.name, value) for c in more for value in c.values or ("yes",)]
    for picked in product([False, True], repeat=len(FINDINGS)):
        answers = dict(zip(FINDINGS, picked, strict=True))
        before = care(book, decide(book, answers, None))
        for added in additions:
            after = care(book, decide(book, answers, added))
            if any(now < then for now, then in zip(after, before, strict=True)):
                return True
    return False


def test_what_passes_only_becomes_more_careful() -> None:
    dice = random.Random(7)
    base = book_with()
    passed = refused = real = 0
    for _ in range(1200):
        book = some_book(dice, base)
        if list(check(book)):
            refused += 1
            real += violated(book)
        else:
            passed += 1
            assert not violated(book), book.rules
    assert passed > 300
    assert real > refused // 4 > 25


WORRIED = """conclusions:
  worried: {title: Worried, combine: flag}
  calm: {title: Calm, combine: flag, output: true}
rules:
""" + rule("    when: {conclusion: irritable, holds: true}\n    then: {worried: true}", "worried")


@pytest.mark.parametrize(
    ("when", "then", "wanted"),
    [
        ("{conclusion: worried, holds: true}", "{care_today: no_hands_on}", []),
        ("{conclusion: worried, holds: true}", "{calm: true}", []),
        ("{none: [{conclusion: worried, holds: true}]}", "{calm: true}", []),
        ("{conclusion: worried, holds: true}", "{target: thrust}", ["wrong-direction"]),
        ("{none: [{conclusion: worried, holds: true}]}", "{target: thrust}", []),
        ("{none: [{conclusion: worried, holds: true}]}", "{limit: {thrust: barred}}",
         ["wrong-direction"]),
        ("{none: [{none: [{conclusion: worried, holds: true}]}]}", "{limit: {thrust: barred}}", []),
        ("{conclusion: care_today, less_than: no_hands_on}", "{target: thrust}", []),
        ("{conclusion: care_today, less_than: no_hands_on}", "{irritable: true}",
         ["wrong-direction"]),
        ("{conclusion: referral.general_practice, at_most: routine}", "{concern: {fracture: some}}",
         ["wrong-direction"]),
    ],
)  # fmt: skip
def test_ways_through(when: str, then: str, wanted: list[str]) -> None:
    assert codes(check, WORRIED + rule(f"    when: {when}\n    then: {then}")) == wanted


def test_the_chain_is_shown() -> None:
    text = WORRIED + rule(
        "    when: {conclusion: worried, holds: true}\n    then: {target: thrust}"
    )
    assert messages(check, text) == [
        "rule `extra-rule` concludes `target` more as care rises: "
        "`irritable` → `worried` → `target`"
    ]


def test_a_target_below_what_stands_anyway() -> None:
    text = "rules:\n" + rule(
        '    when: {finding: fall, is: "yes"}\n    then: {target: no_treatment}'
    )
    assert codes(check, text) == ["lowers-otherwise"]


def test_what_rests_on_findings_alone_may_be_turned() -> None:
    # a permissive conclusion that rests on findings only may be turned as one likes
    text = "rules:\n" + rule(
        "    for_each: segment\n    when: {none: [{conclusion: segment.provoked, holds: true}]}\n"
        "    then: {segment.target: thrust}"
    )
    assert codes(check, text) == []
