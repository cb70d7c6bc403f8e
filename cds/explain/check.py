"""The chain checker: re-derives an advice from its chain and the rule book, and says what is off.

It trusts nothing in the advice. From the chain's inputs it evaluates every rule with the slow
reference, re-reads every node of the network one by one, rebuilds each step and compares; combines
the conclusions of the listed steps alone and compares them with care, referrals and limits; and
resolves the path again. Every rule that is not in the chain must be quiet, or open and binding
nothing, so a chain with a step removed, a value changed or a rule added is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cds.engine.path import Resolver, path_inputs
from cds.engine.port import Inputs
from cds.engine.readings import Readings, combine
from cds.engine.reference import Reference
from cds.explain.chain import build_chain, chain_digest
from cds.explain.limits import limits
from cds.explain.outcomes import care, concerns, next_step, referrals
from cds.explain.words import input_of
from cds.problems import Problem
from cds.rulebook.program import Program, Slot
from cds.vocabulary.advice import Advice
from cds.vocabulary.model import LEVELS, NAMELESS
from cds.vocabulary.values import (
    Amount,
    Choice,
    Input,
    NotApplicable,
    Tri,
    test_amount,
    test_choice,
)

CODES = {
    "chain-edition": "the advice names another edition than the rule book it is checked against",
    "chain-digest": "the chain was changed after its digest was taken",
    "chain-input": "an input of the chain is not one, or not the case's",
    "chain-step": "a step is missing, added, out of order or not what its rule says",
    "chain-open": "the list of open rules is not what the inputs give",
    "chain-conclusion": "a conclusion of the advice does not follow from the chain",
    "chain-path": "the path does not follow from the limits, target and indication",
}
"""Closed list of what the checker may find."""


def check_chain(program: Program, advice: Advice, inputs: Inputs | None = None) -> list[Problem]:
    """Everything wrong with a full advice (`detail=full`); empty when it holds.

    `inputs`, when given, are the case's own inputs: the chain must state exactly those.
    """
    problems: list[Problem] = []

    def wrong(code: str, message: str, pointer: str) -> None:
        problems.append(Problem(code, message, pointer=pointer))

    chain = advice["chain"]
    if advice["edition"]["digest"] != program.digest:
        wrong("chain-edition", "another edition", "/edition/digest")
    if chain_digest(chain) != chain["digest"]:
        wrong("chain-digest", "the chain does not match its digest", "/chain/digest")
    found = _inputs(program, advice, wrong)
    if found is None:
        return problems
    judged = {n: v for n, v in found.values.items() if not _is_path(n)}
    if inputs is not None and (judged != dict(inputs.values) or found.levels != inputs.levels):
        wrong("chain-input", "the inputs are not the case's", "/chain/inputs")
    levels = tuple(segment["level"] for segment in advice["segments"])
    if frozenset(levels) != found.levels or len(set(levels)) != len(levels):
        wrong("chain-input", "the levels are not the segments'", "/chain/levels")
        return problems
    reference = Reference(program)
    before = Readings(program, reference.evaluate(Inputs(judged, found.levels)))
    resolver = Resolver(program)
    paths = resolver.paths(before, levels, judged)
    expected_path = path_inputs(paths.now, levels)
    if {n: v for n, v in found.values.items() if _is_path(n)} != expected_path:
        wrong("chain-path", "the path inputs are not what the resolver gives", "/chain/inputs")
    whole = Inputs({**judged, **expected_path}, found.levels)
    readings = Readings(program, reference.evaluate(whole))
    expected = build_chain(program, whole, readings, node_truth(program, whole))
    _compare_list(expected["steps"], chain["steps"], "chain-step", "/chain/steps", wrong)
    _compare_list(expected["open"], chain["open"], "chain-open", "/chain/open", wrong)
    _conclusions(program, advice, readings, levels, wrong)
    _from_steps(program, advice, wrong)
    for segment in advice["segments"]:
        level = segment["level"]
        path = paths.now.paths[level]
        stated = (
            segment["path"]["start_at"],
            segment["path"]["up_to"],
            [step["rung"] for step in segment["path"]["steps"]],
            segment["path"]["step_down_to"],
            segment["treat_today"],
        )
        derived = (
            path.start_at,
            {
                "now": path.up_to,
                "most_careful": paths.most.paths[level].up_to,
                "least_careful": paths.least.paths[level].up_to,
            },
            list(path.steps),
            list(path.step_down_to),
            level in paths.treated,
        )
        if stated != derived:
            wrong("chain-path", f"the path at {level} does not follow", "/segments")
    case_path = advice["path"]
    stated_case = (
        case_path["start_at"],
        case_path["up_to"],
        {step["rung"] for step in case_path["steps"]},
        set(case_path["step_down_to"]),
    )
    here = [paths.now.paths[level] for level in paths.treated]
    derived_case = (
        paths.now.start_at,
        {
            "now": paths.now.up_to,
            "most_careful": paths.most.up_to,
            "least_careful": paths.least.up_to,
        },
        {rung for path in here for rung in path.steps},
        {rung for path in here for rung in path.step_down_to},
    )
    if stated_case != derived_case:
        wrong("chain-path", "the case's path does not follow", "/path")
    return problems


def node_truth(program: Program, inputs: Inputs) -> Any:
    """Truth of any literal, by evaluating every node once in order; shares nothing with the
    chainer."""
    state: list[Tri] = [Tri.UNKNOWN] * program.nodes
    leaves = {leaf.node: leaf for leaf in program.leaves}
    gates = {gate.node: gate for gate in program.gates}

    def truth(literal: int) -> Tri:
        if literal >= 0:
            return state[literal]
        value = state[~literal]
        if value is Tri.UNKNOWN:
            return value
        return Tri.FALSE if value is Tri.TRUE else Tri.TRUE

    for node in range(program.nodes):
        leaf = leaves.get(node)
        if leaf is None:
            gate = gates[node]
            values = [truth(member) for member in gate.members]
            if values.count(Tri.TRUE) >= gate.need:
                state[node] = Tri.TRUE
            elif values.count(Tri.FALSE) >= len(values) - gate.need + 1:
                state[node] = Tri.FALSE
        elif leaf.input.startswith("level@"):
            present = leaf.input.partition("@")[2] in inputs.levels
            state[node] = Tri.TRUE if present else Tri.FALSE
        else:
            state[node] = _leaf(leaf, inputs.values.get(leaf.input))
    return truth


def _leaf(leaf: Any, value: Input | None) -> Tri:
    if value is None:
        return Tri.UNKNOWN
    if isinstance(value, NotApplicable):
        return Tri.FALSE
    if isinstance(value, Choice):
        return test_choice(value, leaf.op, leaf.words, leaf.order)
    assert isinstance(value, Amount)
    return test_amount(value, leaf.op, leaf.limit or 0)


def _is_path(name: str) -> bool:
    return name.startswith(("path.", "segment.path_"))


def _inputs(program: Program, advice: Advice, wrong: Any) -> Inputs | None:
    values: dict[str, Input] = {}
    bad = False
    for i, entry in enumerate(advice["chain"]["inputs"]):
        name = entry.get("name")
        value = input_of(program, entry)  # type: ignore[arg-type]
        if value is None or not isinstance(name, str) or name in values:
            wrong("chain-input", "not an input of this edition", f"/chain/inputs/{i}")
            bad = True
        else:
            values[name] = value
    levels = advice["chain"]["levels"]
    if any(level not in (*LEVELS, NAMELESS) for level in levels):
        wrong("chain-input", "not a level", "/chain/levels")
        bad = True
    return None if bad else Inputs(values, frozenset(levels))


def _compare_list(expected: Any, stated: Any, code: str, pointer: str, wrong: Any) -> None:
    for i in range(max(len(expected), len(stated))):
        if i >= len(stated):
            wrong(code, f"`{expected[i]['rule']}` is missing", pointer)
        elif i >= len(expected):
            wrong(code, f"`{stated[i].get('rule')}` is not derived", f"{pointer}/{i}")
        elif expected[i] != stated[i]:
            wrong(code, f"`{stated[i].get('rule')}` does not follow", f"{pointer}/{i}")


def _conclusions(
    program: Program, advice: Advice, readings: Readings, levels: tuple[str, ...], wrong: Any
) -> None:
    derived: Mapping[str, object] = {
        "care_today": care(readings),
        "referrals": referrals(program, readings),
        "concerns": concerns(program, readings),
        "limits": limits(program, readings, levels),
        "next_step": next_step(program, readings, str(advice.get("status"))),
    }
    for key, value in derived.items():
        if advice.get(key) != value:
            wrong("chain-conclusion", f"`{key}` does not follow from the chain", f"/{key}")


def _from_steps(program: Program, advice: Advice, wrong: Any) -> None:
    """Care, referrals and limits as they stand now, from the listed steps' conclusions alone."""
    said: dict[str, list[int]] = {}
    for step in advice["chain"]["steps"]:
        for entry in step["conclusions"]:
            number = program.slot_numbers.get(entry["slot"])
            if number is None:
                wrong("chain-step", "a step concludes an unknown slot", "/chain/steps")
                continue
            slot = program.slots[number]
            if entry["value"] in slot.values:
                said.setdefault(slot.name, []).append(slot.values.index(entry["value"]))
    stated_levels = {None, *(segment["level"] for segment in advice["segments"])}
    for slot in program.slots:
        # a cast on a level that was not listed limits nothing, and no limit of it is stated
        if slot.conclusion in ("care_today", "limit", "referral") and slot.level in stated_levels:
            default = slot.values.index(slot.otherwise or slot.values[0])
            value = slot.values[combine(slot, said.get(slot.name, ()), default)]
            if _stated(advice, slot, slot.values[default]) != value:
                wrong(
                    "chain-conclusion", f"`{slot.name}` is not what the steps give", "/chain/steps"
                )


def _stated(advice: Advice, slot: Slot, default: str) -> str:
    if slot.conclusion == "care_today":
        return advice["care_today"]["now"]
    if slot.conclusion == "referral":
        found = [r["urgency"]["now"] for r in advice["referrals"] if r["to"] == slot.key]
    else:
        found = [
            entry["most"]["now"]
            for entry in advice["limits"]
            if entry["family"] == slot.key and entry.get("level") == slot.level
        ]
    return found[0] if found else default
