"""What the host says of a case: the facts of its inputs, tested here with comparisons of its own.

A test is said true or false only where every value that the record leaves open agrees.
"""

from __future__ import annotations

from math import inf

from cds.engine.durable_rails import ALWAYS
from cds.engine.durable_translate import HostTest, Translation
from cds.engine.port import Inputs, Outcome
from cds.rulebook.program import Program
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Input, Op


def facts_of(translation: Translation, inputs: Inputs) -> list[str]:
    """The facts that hold from the start."""
    found: list[str] = []
    for level, rails in translation.levels.items():
        found.append(rails.true if level in inputs.levels else rails.false)
    for test in translation.tests:
        if test.level is None or test.level in inputs.levels:
            said = _said(test, inputs.values.get(test.input))
            if said is not None:
                found.append(test.rails.true if said else test.rails.false)
    return found


def outcome_of(
    translation: Translation, program: Program, inputs: Inputs, facts: frozenset[str]
) -> Outcome:
    """Fired, and open: neither fired nor quiet. `ValueError` where an instance is both."""
    fired: list[int] = []
    still: list[int] = []
    for instance, (level, rails) in zip(program.instances, translation.instances, strict=True):
        if level is not None and level not in inputs.levels:
            continue
        true, false = _holds(rails.true, facts), _holds(rails.false, facts)
        if true and false:
            raise ValueError("a rule came out both true and false")
        if true:
            fired.append(instance.number)
        elif not false:
            still.append(instance.number)
    return Outcome(tuple(fired), tuple(still))


def _holds(signal: str, facts: frozenset[str]) -> bool:
    return signal == ALWAYS or signal in facts


def _said(test: HostTest, value: Input | None) -> bool | None:
    if value is None:
        return None
    if value is NOT_APPLICABLE:
        return False
    if test.op is Op.KNOWN:
        return True
    if isinstance(value, Choice):
        answers = {_word(test, word) for word in value.options}
    elif isinstance(value, Amount):
        if test.low is None:
            raise ValueError(f"`{test.input}` is no number")
        low = -inf if value.low is None else value.low
        high = inf if value.high is None else value.high
        answers = {_number(test.op, end, test.low) for end in (low, high)}
    return answers.pop() if len(answers) == 1 else None


def _word(test: HostTest, word: str) -> bool:
    if test.op in (Op.IS, Op.IN):
        return word in test.words
    if test.op is Op.IS_NOT:
        return word not in test.words
    return _number(test.op, test.order.index(word), test.order.index(test.words[0]))


def _number(op: Op, value: float, limit: int) -> bool:
    match op:
        case Op.AT_LEAST:
            return value >= limit
        case Op.MORE_THAN:
            return value > limit
        case Op.AT_MOST:
            return value <= limit
        case Op.LESS_THAN:
            return value < limit
    raise ValueError(f"operator {op} compares nothing")
