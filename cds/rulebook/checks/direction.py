"""More care in one place never leads to less care in another.

Every slot, value by value, learns which way its being concluded moves when a careful conclusion is
added somewhere: up (`+1`), down (`-1`), both or neither. Neutral conclusions carry it on; `none`,
`is_not`, `empty`, `at_most` and `less_than` turn it. A rule that would then conclude a careful
thing less, or a permissive thing more, is an error at the test that lets it in.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cds.problems import Problem
from cds.rulebook.book import Book, Rule, Write
from cds.rulebook.checks.subjects import (
    Slot,
    concluded,
    problem,
    slot_read,
    slot_written,
    writes,
)
from cds.rulebook.conditions import Condition, Group, Leaf, Source
from cds.vocabulary.model import Careful, Combine, Conclusion
from cds.vocabulary.values import Op

UP, DOWN = 1, -1


class Node(NamedTuple):
    """One value that rules may conclude in one slot."""

    slot: Slot
    value: str


class Moved(NamedTuple):
    """A node, and the way it moves as care rises."""

    node: Node
    sign: int


Reached = dict[Slot, dict[Moved, tuple[Slot, ...]]]
"""The movements of each slot, with the slots they came through, the careful conclusion first."""


def check(book: Book) -> Iterator[Problem]:
    """Tests through which more care would mean less care, and careful scales written too mild."""
    reached = movements(book)
    for rule in book.rules.values():
        for write in writes(rule):
            if _too_mild(book, write):
                message = f"rule `{rule.id}` writes `{slot_written(write)}` milder than `otherwise`"
                yield problem("lowers-otherwise", message, write.place)
        for leaf, turn in tests(rule.when):
            yield from _test(book, rule, leaf, turn, reached)


def movements(book: Book) -> Reached:
    """How every concluded value moves as care rises, to the fixed point."""
    reached: Reached = {}
    for rule in book.rules.values():
        for leaf, _ in tests(rule.when):
            for node in _careful(book, leaf):
                reached.setdefault(node.slot, {})[Moved(node, UP)] = (node.slot,)
    changed = True
    while changed:
        changed = False
        for rule in book.rules.values():
            for sign, through in _firing(book, rule, reached).items():
                for node in _written(rule):
                    moved, known = Moved(node, sign), reached.setdefault(node.slot, {})
                    if moved not in known and _may_move(book, node, sign):
                        known[moved] = (*through, node.slot)
                        changed = True
    return reached


def tests(condition: Condition, turn: int = UP) -> Iterator[tuple[Leaf, int]]:
    """Every leaf, with whether its being true makes the whole more or less true."""
    if isinstance(condition, Leaf):
        yield condition, turn
        return
    for member in condition.members:
        yield from tests(member, -turn if condition.group is Group.NONE else turn)


def _careful(book: Book, leaf: Leaf) -> list[Node]:
    """What a test reads of a careful conclusion: every value, also those no rule writes today."""
    conclusion = concluded(book, leaf)
    if conclusion is None or conclusion.careful is not Careful.MORE:
        return []
    slot = slot_read(leaf)
    values = conclusion.values_of(slot.key) or ("yes",)
    return [Node(slot, value) for value in values if not _mild(conclusion, values, value)]


def _written(rule: Rule) -> list[Node]:
    return [Node(slot_written(write), write.value) for write in writes(rule)]


def _may_move(book: Book, node: Node, sign: int) -> bool:
    """A wrong way of a careful conclusion is reported where it arises and not followed further."""
    conclusion = book.conclusions.get(node.slot.conclusion)
    careful = conclusion.careful if conclusion else Careful.NEUTRAL
    return careful is Careful.NEUTRAL or sign == (UP if careful is Careful.MORE else DOWN)


def _firing(book: Book, rule: Rule, reached: Reached) -> dict[int, tuple[Slot, ...]]:
    """The ways a rule's firing moves as care rises, each with the slots it came through."""
    found: dict[int, tuple[Slot, ...]] = {}
    for leaf, turn in tests(rule.when):
        for sign, through in _leaf_moves(book, leaf, turn, reached):
            found.setdefault(sign, through)
    return found


def _leaf_moves(
    book: Book, leaf: Leaf, turn: int, reached: Reached
) -> Iterator[tuple[int, tuple[Slot, ...]]]:
    conclusion = concluded(book, leaf)
    if conclusion is None:
        return
    slot = slot_read(leaf)
    for moved, through in reached.get(slot, {}).items():
        weight = _weight(conclusion, slot.key, leaf, moved.node.value)
        if weight:
            yield moved.sign * weight * turn, through


def _weight(conclusion: Conclusion, key: str | None, leaf: Leaf, value: str) -> int:
    """Whether concluding `value` makes the test truer (1), less true (-1) or leaves it (0)."""
    if leaf.op is Op.HOLDS:
        return UP
    if leaf.op is Op.EMPTY:
        return DOWN
    if leaf.op in (Op.HAS, Op.HAS_ANY_OF, Op.IS, Op.IN, Op.IS_NOT):
        sided = value.startswith("{") or any(word.startswith("{") for word in leaf.words)
        if value not in leaf.words and not sided:
            return 0
        return DOWN if leaf.op is Op.IS_NOT else UP
    values = conclusion.values_of(key)
    if value not in values or not leaf.words or leaf.words[0] not in values:
        return 0
    limit = values.index(leaf.words[0]) + (leaf.op in (Op.MORE_THAN, Op.AT_MOST))
    turn = DOWN if leaf.op in (Op.LESS_THAN, Op.AT_MOST) else UP
    high = values.index(value) >= limit
    # while nobody concludes anything `otherwise` stands, so that a first write can move either way
    lowest = conclusion.combine is Combine.LOWEST
    otherwise = _otherwise(conclusion, values) >= limit
    if high:
        return turn if not lowest or not otherwise else 0
    return -turn if lowest or otherwise else 0


def _otherwise(conclusion: Conclusion, values: tuple[str, ...]) -> int:
    if conclusion.otherwise in values:
        return values.index(str(conclusion.otherwise))
    return len(values) - 1 if conclusion.combine is Combine.LOWEST else 0


def _test(book: Book, rule: Rule, leaf: Leaf, turn: int, reached: Reached) -> Iterator[Problem]:
    if leaf.source is not Source.CONCLUSION:
        return
    for sign, through in _leaf_moves(book, leaf, turn, reached):
        for node in _written(rule):
            if _may_move(book, node, sign):
                continue
            less = "less" if sign == DOWN else "more"
            chain = " → ".join(f"`{slot}`" for slot in (*through, node.slot))
            message = f"rule `{rule.id}` concludes `{node.slot}` {less} as care rises: {chain}"
            yield problem("wrong-direction", message, leaf.place)
            return


def _too_mild(book: Book, write: Write) -> bool:
    conclusion = book.conclusions.get(write.conclusion)
    if conclusion is None or conclusion.careful is Careful.NEUTRAL:
        return False
    values = conclusion.values_of(write.key)
    if conclusion.otherwise is None or write.value not in values:
        return False
    return _mild(conclusion, values, write.value)


def _mild(conclusion: Conclusion, values: tuple[str, ...], value: str) -> bool:
    """Whether the value is milder than what holds when nobody concludes anything."""
    if conclusion.combine not in (Combine.WORST, Combine.HIGHEST, Combine.LOWEST):
        return False
    place, otherwise = values.index(value), _otherwise(conclusion, values)
    return place > otherwise if conclusion.combine is Combine.LOWEST else place < otherwise
