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
    true = false = 0
    leaves: dict[Tri, list[Decided]] = {}
    for member in condition.members:
        if isinstance(member, Leaf):  # most members are: a call less for each
            read = next(reads)
            value = truth(read.literal)
            decided = [(read, value)]
        else:
            value, decided = _walk(member, reads, truth)
        if value is Tri.TRUE:
            true += 1
        elif value is Tri.FALSE:
            false += 1
        leaves.setdefault(value, []).extend(decided)
    size = len(condition.members)
    group = condition.group
    needed = size if group is Group.ALL else condition.at_least if group is Group.SOME else 1
    if true >= needed:
        result = Tri.TRUE
    elif false >= size - needed + 1:
        result = Tri.FALSE
    else:
        result = Tri.UNKNOWN
    found = leaves.get(result, [])
    if group is Group.NONE and result is not Tri.UNKNOWN:
        result = Tri.FALSE if result is Tri.TRUE else Tri.TRUE
    return result, found
