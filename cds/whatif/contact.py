"""The patient rings: which questions, and the decision at once.

Nobody can examine by telephone. What is asked is found in the program: what rules of this moment
read, the rest of a block that one of those stands in (so that "anything new since" stays whole),
and, of the conditions for which such a rule can call an emergency, what is asked alone about them.
Findings that are examined, and not asked, are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NotRequired, TypedDict

from cds.decide import Decider
from cds.rulebook.conditions import Condition, Leaf, Source
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice
from cds.vocabulary.applies import names as applies_names
from cds.vocabulary.case import Case
from cds.vocabulary.model import CONCERN, Scope
from cds.vocabulary.values import Op

CONTACT = "contact"
EXAMINED, TOLD = "examined", "told"


class ContactQuestion(TypedDict):
    """One question on the telephone: a block of findings, or one asked alone.

    `only_if`: findings whose answers decide whether it is asked at all. `when_told`: it is written
    down when the patient says it, and not asked for; these come last.
    """

    ask: str
    findings: list[str]
    block: NotRequired[str]
    only_if: NotRequired[list[str]]
    when_told: NotRequired[bool]


def contact_questions(program: Program) -> list[ContactQuestion]:
    """The questions in the order of the visit."""
    wanted = contact_findings(program)
    told = _of_parts(program, TOLD)
    found: list[ContactQuestion] = []
    placed: set[str] = set()
    for name in _in_order(program, wanted):
        finding = program.findings[name]
        if name in placed:
            continue
        if finding.block is not None and not finding.ask_alone:
            block = program.blocks[finding.block]
            placed.update(block.findings)
            found.append({"ask": block.ask, "findings": list(block.findings), "block": block.id})
            continue
        placed.add(name)
        question: ContactQuestion = {"ask": finding.ask, "findings": [name]}
        if finding.applies_when is not None:
            question["only_if"] = sorted(set(applies_names(finding.applies_when)))
        if name in told:
            question["when_told"] = True
        found.append(question)
    return sorted(found, key=lambda question: "when_told" in question)


def contact_findings(program: Program) -> frozenset[str]:
    """Findings that the telephone asks for."""
    speaking = [rule.id for rule in program.rules.values() if _of_contact(rule.when)]
    read = _read(program, set(speaking))
    grave = {
        write.key
        for rule in speaking
        for write in program.rules[rule].then
        if write.conclusion == "concern" and write.value == CONCERN[-1] and write.key
    }
    raising = {
        rule.id
        for rule in program.rules.values()
        for write in rule.then
        if write.conclusion == "concern" and write.key in grave and write.value == CONCERN[-1]
    }
    alone = {name for name in _read(program, raising) if program.findings[name].ask_alone}
    examined = _of_parts(program, EXAMINED)
    return frozenset(
        name
        for name in (read | alone)
        if program.findings[name].scope is Scope.CASE and (name in read or name not in examined)
    )


def contact(decider: Decider, case: Case) -> Advice:
    """The case decided as of a call: the record with what was told, and no session under way."""
    return decider.decide(replace(case, moment=CONTACT, steps=None))


def _of_parts(program: Program, how: str) -> set[str]:
    """The findings of the parts of a visit in which they are had in this way."""
    return {
        name
        for part in program.visit
        if part.how == how
        for entry in part.asks
        for name in (program.blocks[entry].findings if entry in program.blocks else (entry,))
    }


def _leaves(condition: Condition) -> Iterator[Leaf]:
    if isinstance(condition, Leaf):
        yield condition
        return
    for member in condition.members:
        yield from _leaves(member)


def _of_contact(condition: Condition) -> bool:
    """Whether the condition can hold at a contact and at no other moment."""
    return any(
        leaf.source is Source.FEATURE
        and leaf.name == "moment"
        and leaf.op in (Op.IS, Op.IN)
        and leaf.words == (CONTACT,)
        for leaf in _leaves(condition)
    )


def _read(program: Program, rules: set[str]) -> set[str]:
    """Findings that the rules read, themselves or through a feature."""
    found: set[str] = set()
    for rule in rules:
        for leaf in _leaves(program.rules[rule].when):
            if leaf.source is Source.FINDING:
                found.add(leaf.name)
            elif leaf.source is Source.FEATURE and leaf.name in program.features:
                reads = program.features[leaf.name].reads
                found.update(name for name in reads if name in program.findings)
    return found


def _in_order(program: Program, wanted: frozenset[str]) -> list[str]:
    """Findings as the visit orders them, the others after."""
    order: dict[str, int] = {}
    for part in program.visit:
        for entry in part.asks:
            names = program.blocks[entry].findings if entry in program.blocks else (entry,)
            for name in names:
                order.setdefault(name, len(order))
    return sorted(wanted, key=lambda name: (order.get(name, len(order)), name))
