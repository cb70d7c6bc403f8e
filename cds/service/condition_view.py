"""Conditions for readers of a rule: as JSON in the shape rule authors write, and as sentences."""

from __future__ import annotations

from typing import Any

from cds.explain.words import leaf_text, number_text
from cds.rulebook.conditions import Condition, Group, Leaf
from cds.rulebook.program import Program
from cds.vocabulary.values import Op

_SEVERAL = (Op.IN, Op.HAS_ANY_OF)
_TRUTHS = (Op.KNOWN, Op.HOLDS, Op.EMPTY)
_HEADS = {
    Group.ALL: "all of:",
    Group.ANY: "at least one of:",
    Group.NONE: "none of:",
}


def condition_json(condition: Condition) -> dict[str, Any]:
    """The condition as an object: `{"all": […]}`, `{"finding": "pain", "at_least": "7"}`.

    Numbers are decimal strings, as everywhere in answers.
    """
    if isinstance(condition, Leaf):
        return {condition.source.value: condition.name, condition.op.value: _operand(condition)}
    members = [condition_json(member) for member in condition.members]
    if condition.group is Group.SOME:
        return {"some": {"at_least": condition.at_least, "of": members}}
    return {condition.group.value: members}


def _operand(leaf: Leaf) -> Any:
    if leaf.policy is not None:
        return {"policy": leaf.policy}
    if leaf.op in _TRUTHS:
        return True
    if leaf.number is not None:
        return number_text(leaf.number)
    return list(leaf.words) if leaf.op in _SEVERAL else leaf.words[0]


def condition_lines(program: Program, condition: Condition, indent: int = 0) -> list[str]:
    """The condition as lines for people, members indented by two spaces."""
    margin = "  " * indent
    if isinstance(condition, Leaf):
        return [f"{margin}{leaf_text(program, condition, None, None)}"]
    if condition.group is Group.SOME:
        head = f"at least {condition.at_least} of:"
    else:
        head = _HEADS[condition.group]
    lines = [margin + head]
    for member in condition.members:
        lines.extend(condition_lines(program, member, indent + 1))
    return lines
