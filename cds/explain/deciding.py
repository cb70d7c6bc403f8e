"""Which tests decided a rule: the true ones of a rule that fired, the unknown ones of an open one.

A group that is true because of some members is explained by those; a group that is false because of
one member by the false ones; an undecided group by its undecided members.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cds.rulebook.conditions import Condition, Group, Leaf
from cds.rulebook.program import Instance, Program, ReadLeaf
from cds.vocabulary.values import Tri

Truth = Callable[[int], Tri]
Decided = tuple[ReadLeaf, Tri]


def deciding(program: Program, instance: Instance, truth: Truth) -> tuple[Tri, list[Decided]]:
    """The instance's own condition: its truth, and the leaves that decide it in written order.

    The level's presence is not part of it: only instances of listed levels are ever explained.
    """
    return _walk(program.rules[instance.rule].when, iter(instance.reads), truth)


def _walk(
    condition: Condition, reads: Iterator[ReadLeaf], truth: Truth
) -> tuple[Tri, list[Decided]]:
    if isinstance(condition, Leaf):
        read = next(reads)
        value = truth(read.literal)
        return value, [(read, value)]
    parts = [_walk(member, reads, truth) for member in condition.members]
    true = sum(1 for value, _ in parts if value is Tri.TRUE)
    false = sum(1 for value, _ in parts if value is Tri.FALSE)
    size = len(parts)
    needed = {Group.ALL: size, Group.SOME: condition.at_least}.get(condition.group, 1)
    if true >= needed:
        result = Tri.TRUE
    elif false >= size - needed + 1:
        result = Tri.FALSE
    else:
        result = Tri.UNKNOWN
    found = [leaf for value, leaves in parts if value is result for leaf in leaves]
    if condition.group is Group.NONE and result is not Tri.UNKNOWN:
        result = Tri.FALSE if result is Tri.TRUE else Tri.TRUE
    return result, found
