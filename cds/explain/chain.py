"""The chain: the ordered rule firings, and the open rules that hold path or care, down to inputs.

A step cites each deciding test by the input it saw, by the earlier steps that concluded it, or,
for a
test resting on "nobody concluded it", by the rules that could have (`ruled_out`). Together with the
inputs and the list of open rules it is enough to re-derive the advice; `cds.explain.check` does.
"""

from __future__ import annotations

from collections.abc import Mapping

from cds.canon import digest, trusted_digest
from cds.engine.port import Inputs
from cds.engine.readings import Readings
from cds.explain.deciding import Truth, deciding
from cds.explain.words import Phrases, filled, input_json, value_text
from cds.rulebook.conditions import Source
from cds.rulebook.program import Instance, Program, ReadLeaf, Slot, Writes
from cds.vocabulary.advice import Chain, ChainInput, ChainStep, Concluded, OpenRule, Test
from cds.vocabulary.model import LEVELS, NAMELESS, SIDES, Combine
from cds.vocabulary.values import Tri

_RESULT = {Tri.TRUE: "true", Tri.FALSE: "false", Tri.UNKNOWN: "unknown"}


class Order:
    """The order of steps: judge before prepare, stage, rule id, level from above, left first."""

    def __init__(self, program: Program) -> None:
        self.stage = {rule: i for i, ids in enumerate(program.stages) for rule in ids}
        self.level = {name: i for i, name in enumerate((*LEVELS, NAMELESS), start=1)}

    def key(self, instance: Instance) -> tuple[bool, int, str, int, int]:
        """The sort key of an instance. Prepare steps come last."""
        return (
            instance.prepare,
            self.stage.get(instance.rule, 0),
            instance.rule,
            self.level.get(instance.level or "", 0),
            0 if instance.side is None else 1 + SIDES.index(instance.side),
        )


def binding_holds(readings: Readings, instance: Instance) -> list[Writes]:
    """The holds of an open instance that keep a slot where it is: without any of them it would
    move."""
    found = []
    for write in instance.holds:
        slot = readings.program.slots[write.slot]
        bounds = readings.bounds(slot)
        if bounds.now != bounds.least_careful and write.value == bounds.now:
            found.append(write)
    return found


def build_chain(
    program: Program,
    inputs: Inputs,
    readings: Readings,
    truth: Truth,
    phrases: Phrases | None = None,
) -> Chain:
    """The whole chain of one evaluation (path inputs included).

    `phrases` of the same program save putting the same tests into words again for each case.
    """
    phrases = phrases or Phrases(program)
    order = Order(program)
    instances = program.instances
    fired = sorted((instances[n] for n in readings.outcome.fired), key=order.key)
    opened = sorted((instances[n] for n in readings.outcome.open), key=order.key)
    holding = [(i, binding_holds(readings, i)) for i in opened]
    numbers: dict[int, int] = {}
    steps: list[ChainStep] = []
    for instance in fired:
        numbers[instance.number] = len(numbers) + 1
        steps.append(_step(phrases, inputs, readings, truth, instance, None, numbers))
    for instance, holds in holding:
        if holds:
            numbers[instance.number] = len(numbers) + 1
            steps.append(_step(phrases, inputs, readings, truth, instance, holds, numbers))
    listed = [_input(program, name, inputs) for name in sorted(inputs.values)]
    chain: Chain = {
        "steps": steps,
        "open": [_open(program, instance, holds) for instance, holds in holding],
        "inputs": listed,
        "levels": [level for level in (*LEVELS, NAMELESS) if level in inputs.levels],
        "digest": "",
    }
    chain["digest"] = trusted_digest(_body(chain))
    return chain


def chain_digest(chain: Mapping[str, object]) -> str:
    """SHA-256 over everything in the chain but the digest itself."""
    return digest(_body(chain))


def _body(chain: Mapping[str, object]) -> dict[str, object]:
    return {key: value for key, value in chain.items() if key != "digest"}


def concluded(program: Program, write: Writes) -> Concluded:
    """One conclusion as it stands in a step."""
    slot = program.slots[write.slot]
    return {"slot": slot.name, "value": value_of(slot, write.value)}


def value_of(slot: Slot, position: int) -> str:
    """The word at a position of a slot's values; `yes` for a flag."""
    return "yes" if slot.combine is Combine.FLAG else slot.values[position]


def _input(program: Program, name: str, inputs: Inputs) -> ChainInput:
    return input_json(program, name, inputs.values[name])  # type: ignore[return-value]


def _open(program: Program, instance: Instance, holds: list[Writes]) -> OpenRule:
    found: OpenRule = {
        "rule": instance.rule,
        "holds": sorted(program.slots[write.slot].name for write in holds),
    }
    if instance.level is not None:
        found["level"] = instance.level
    if instance.side is not None:
        found["side"] = instance.side
    return found


def _could_conclude(program: Program, slot: Slot) -> set[str]:
    """The rules that write the slot when they fire; one that only holds it concludes nothing."""
    writers = (program.instances[number] for number in slot.writers)
    return {i.rule for i in writers if any(write.slot == slot.number for write in i.then)}


def _step(
    phrases: Phrases,
    inputs: Inputs,
    readings: Readings,
    truth: Truth,
    instance: Instance,
    holds: list[Writes] | None,
    numbers: Mapping[int, int],
) -> ChainStep:
    program = phrases.program
    rule = program.rules[instance.rule]
    _, decided = deciding(program, instance, truth)
    step: ChainStep = {
        "number": numbers[instance.number],
        "rule": rule.id,
        "title": filled(rule.title, instance.level, instance.side),
        "status": "fired" if holds is None else "held_open",
        "phase": rule.phase.value,
        "tests": [_test(phrases, inputs, readings, instance, r, t, numbers) for r, t in decided],
        "conclusions": [concluded(program, w) for w in (instance.then if holds is None else holds)],
        "because": filled(rule.because, instance.level, instance.side),
        "sources": sorted({e.source for e in rule.evidence if e.source is not None}),
    }
    if instance.level is not None:
        step["level"] = instance.level
    if instance.side is not None:
        step["side"] = instance.side
    if rule.basis is not None:
        step["basis"] = rule.basis.value
    return step


def _test(
    phrases: Phrases,
    inputs: Inputs,
    readings: Readings,
    instance: Instance,
    read: ReadLeaf,
    result: Tri,
    numbers: Mapping[int, int],
) -> Test:
    program = phrases.program
    test: Test = {
        "text": phrases.of(instance, read),
        "result": _RESULT[result],
    }
    if read.leaf.source is Source.POLICY:
        test["policy"] = read.leaf.name
        test["value"] = str(program.policy[read.leaf.name].value)
    elif read.input is not None:
        test["input"] = read.input
        value = inputs.values.get(read.input)
        if value is not None:
            test["value"] = value_text(program, read.input, value)
    elif read.slot is not None:
        slot = program.slots[read.slot]
        said = [number for number, _ in readings.said(slot).fired]
        test["steps"] = sorted(numbers[n] for n in said if n in numbers)
        # while it is unknown some writer is still open: nobody is ruled out yet
        if not said and result is not Tri.UNKNOWN:
            test["ruled_out"] = sorted(_could_conclude(program, slot))
    return test
