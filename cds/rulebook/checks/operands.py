"""Each test uses an operator its source has, with a value its source has; each write likewise."""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Place, Problem
from cds.rulebook.book import Book, PolicyChoice, Write
from cds.rulebook.checks.names import MEMBERS
from cds.rulebook.checks.ranges import Range, both, plausible, steps_allowed, words_allowed
from cds.rulebook.checks.subjects import (
    SIDE_WORDS,
    concluded,
    finding_condition,
    measured,
    problem,
    slot_read,
    spoken,
)
from cds.rulebook.conditions import Leaf, Source, leaves
from cds.rulebook.suggest import did_you_mean
from cds.vocabulary.model import SIDES, Combine, Conclusion, Feature, Finding, Kind
from cds.vocabulary.values import NUMERIC_OPS, Op

EQUALITY = frozenset({Op.IS, Op.IS_NOT, Op.IN})
SCALES = (Combine.WORST, Combine.HIGHEST, Combine.LOWEST)

_OF_COMBINE: dict[Combine, frozenset[Op]] = {
    Combine.FLAG: frozenset({Op.HOLDS}),
    Combine.SET: frozenset({Op.HAS, Op.HAS_ANY_OF, Op.EMPTY}),
    Combine.SINGLE: EQUALITY,
    **dict.fromkeys(SCALES, NUMERIC_OPS),
}
"""The operators that read a conclusion, by how it combines."""


def check(book: Book) -> Iterator[Problem]:
    """Wrong operators and operands of tests, and values that cannot be written."""
    for finding in book.findings.values():
        condition = finding_condition(finding)
        if condition is not None:
            for leaf in leaves(condition):
                yield from _leaf(book, leaf)
    for rule in book.rules.values():
        for leaf in leaves(rule.when):
            yield from _leaf(book, leaf)
        for write in rule.then + rule.holds:
            yield from _write(book, write)


def _leaf(book: Book, leaf: Leaf) -> Iterator[Problem]:
    if leaf.policy is not None and leaf.policy not in book.policy:
        return  # named by `names`; there is no operand to judge
    source = measured(book, leaf)
    if source is not None:
        yield from _measured(leaf, source)
    elif leaf.source is Source.POLICY and leaf.name in book.policy:
        yield from _policy(leaf, book.policy[leaf.name])
    else:
        conclusion = concluded(book, leaf)
        if conclusion is not None:
            yield from _conclusion(book, leaf, conclusion)


def _measured(leaf: Leaf, source: Finding | Feature) -> Iterator[Problem]:
    if source.kind is Kind.DATE:
        yield problem("date-test", f"`{leaf.name}` is a date, which has no tests", leaf.place)
        return
    if leaf.op is Op.KNOWN:
        return
    if source.numeric:
        if leaf.op not in NUMERIC_OPS:
            yield _operator(leaf, f"is a {source.kind}", NUMERIC_OPS)
        else:
            yield from _number(leaf, source)
        return
    ordered = source.ordered or source.kind is Kind.PRESENCE
    allowed = EQUALITY | NUMERIC_OPS if source.ordered else EQUALITY
    if leaf.op not in allowed:
        yield _operator(leaf, "has no order" if not ordered else f"is a {source.kind}", allowed)
        return
    yield from _words(leaf, source.values, bool(source.mirror))


def _operator(leaf: Leaf, why: str, allowed: frozenset[Op]) -> Problem:
    listed = spoken(tuple(op.value for op in Op if op in allowed))
    message = f"`{leaf.op}` does not test `{leaf.name}`, which {why}"
    return problem("wrong-operator", message, leaf.place, f"use one of {listed}")


def _words(leaf: Leaf, values: tuple[str, ...], sided: bool = False) -> Iterator[Problem]:
    fine = True
    for word in leaf.words:
        if word not in values and not (sided and word in SIDE_WORDS):
            fine = False
            yield _value(leaf.name, word, values, leaf.place)
    if not fine or leaf.policy is not None or any(word in SIDE_WORDS for word in leaf.words):
        return
    found = words_allowed(leaf, values)
    if found is not None and len(found) in (0, len(values)):
        yield _nothing(leaf, bool(found))


def _value(name: str, word: str, values: tuple[str, ...], place: Place | None) -> Problem:
    near = did_you_mean(word, values)
    hint = f"did you mean `{near}`?" if near else f"it can be {spoken(values)}"
    return problem("unknown-value", f"`{name}` has no value `{word}`", place, hint)


def _nothing(leaf: Leaf, always: bool) -> Problem:
    answer = "true" if always else "false"
    message = f"this test of `{leaf.name}` is {answer} for every value"
    return problem("decides-nothing", message, leaf.place)


def _number(leaf: Leaf, source: Finding | Feature) -> Iterator[Problem]:
    if leaf.number is None:
        said = spoken(leaf.words)
        message = f"`{leaf.name}` is compared with {said}, which is no number"
        yield problem("wrong-operand", message, leaf.place)
        return
    steps = source.steps(leaf.number)
    if steps is None:
        message = f"{leaf.number} is not a whole number of steps of {source.step} of `{leaf.name}`"
        yield problem("not-whole-step", message, leaf.place)
        return
    allowed = plausible(source.low, source.high, source.step)
    low, high = allowed.low, allowed.high
    if (low is not None and steps < low) or (high is not None and steps > high):
        message = f"{leaf.number} is outside the range of `{leaf.name}`"
        hint = f"its range is {_end(source.low)} to {_end(source.high)}"
        yield problem("out-of-range", message, leaf.place, hint)
        return
    found = steps_allowed(leaf, steps)
    if found is None or leaf.policy is not None:
        return
    inside = both(found, allowed)
    if isinstance(inside, Range) and (inside.empty or (inside == allowed and allowed != Range())):
        yield _nothing(leaf, not inside.empty)


def _end(number: object) -> str:
    return "any" if number is None else str(number)


def _policy(leaf: Leaf, choice: PolicyChoice) -> Iterator[Problem]:
    if choice.values:
        if leaf.op not in EQUALITY:
            yield _operator(leaf, "is a word of local policy", EQUALITY)
            return
        for word in leaf.words:
            if word not in choice.values:
                yield _value(leaf.name, word, choice.values, leaf.place)
        return
    if leaf.op not in NUMERIC_OPS:
        yield _operator(leaf, "is a number of local policy", NUMERIC_OPS)
    elif leaf.number is None:
        message = f"`{leaf.name}` is compared with {spoken(leaf.words)}, which is no number"
        yield problem("wrong-operand", message, leaf.place)
    elif leaf.number != int(leaf.number):
        message = f"{leaf.number} is not a whole number, as `{leaf.name}` is"
        yield problem("not-whole-step", message, leaf.place)
    elif (choice.low is not None and leaf.number < choice.low) or (
        choice.high is not None and leaf.number > choice.high
    ):
        message = f"{leaf.number} is outside the range of `{leaf.name}`"
        yield problem("out-of-range", message, leaf.place)


def _conclusion(book: Book, leaf: Leaf, conclusion: Conclusion) -> Iterator[Problem]:
    allowed = _OF_COMBINE[conclusion.combine]
    if leaf.op not in allowed:
        if conclusion.combine in SCALES and leaf.op in EQUALITY:
            message = f"`{leaf.op}` tests `{leaf.name}`, which is a scale"
            yield problem("scale-operator", message, leaf.place)
        else:
            yield _operator(leaf, f"combines by {conclusion.combine}", allowed)
        return
    values = conclusion.values_of(slot_read(leaf).key)
    if conclusion.combine in SCALES:
        yield from _words(leaf, values)
    elif conclusion.combine is not Combine.FLAG:
        for word in leaf.words:
            if word not in values and not (word in SIDE_WORDS and _has_sides(values)):
                yield _value(leaf.name, word, values, leaf.place)


def _has_sides(values: tuple[str, ...]) -> bool:
    return all(side in values for side in SIDES)


def _write(book: Book, write: Write) -> Iterator[Problem]:
    conclusion = book.conclusions.get(write.conclusion)
    if conclusion is None or conclusion.combine is Combine.FLAG or conclusion.name in MEMBERS:
        return
    if conclusion.keys and write.key not in conclusion.keys:
        return
    values = conclusion.values_of(write.key)
    if write.value in values or (write.value in SIDE_WORDS and _has_sides(values)):
        return
    name = f"{write.conclusion}.{write.key}" if write.key else write.conclusion
    yield _value(name, write.value, values, write.place)
