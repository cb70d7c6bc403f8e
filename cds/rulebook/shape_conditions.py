"""The shape of conditions: groups and leaves, operands read untyped, policy operands filled in.

Whether a name exists and an operand fits its kind is judged later (`cds.rulebook.checks`); a number
operand is therefore kept both as a word and as an exact decimal.
"""

from __future__ import annotations

from collections.abc import Mapping as Lookup
from dataclasses import dataclass
from decimal import Decimal

from cds.problems import Place
from cds.rulebook.book import PolicyChoice
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source
from cds.rulebook.fields import (
    Fields,
    Sink,
    as_items,
    as_whole,
    as_word,
    as_words,
    hint,
    kind_of,
    number_of,
    spoken,
)
from cds.rulebook.tree import Entry, Mapping, Node, Scalar
from cds.vocabulary.values import NUMERIC_OPS, Op

GROUPS = tuple(group.value for group in Group)
SOURCES = tuple(source.value for source in Source)

_COMPARE = frozenset({Op.IS, Op.IS_NOT, Op.IN}) | NUMERIC_OPS
OPERATORS: dict[Source, frozenset[Op]] = {
    Source.FINDING: _COMPARE | {Op.KNOWN},
    Source.FEATURE: _COMPARE | {Op.KNOWN},
    Source.CONCLUSION: _COMPARE | {Op.HOLDS, Op.HAS, Op.HAS_ANY_OF, Op.EMPTY},
    Source.POLICY: _COMPARE,
}
"""The operators each subject has."""

TRUE_OPS = frozenset({Op.KNOWN, Op.HOLDS, Op.EMPTY})
"""Operators whose only operand is `true`."""

LIST_OPS = frozenset({Op.IN, Op.HAS_ANY_OF})
"""Operators that take a list of words."""


@dataclass(frozen=True, slots=True)
class _Operand:
    words: tuple[str, ...] = ()
    number: Decimal | None = None
    policy: str | None = None


def read_condition(
    node: Node, what: str, policy: Lookup[str, PolicyChoice], sink: Sink
) -> Condition | None:
    """The condition a node is, or None after a problem.

    `what` names the place for messages. A member that is wrong is reported and left out.
    """
    if not isinstance(node, Mapping):
        sink.error(
            "bad-condition", f"{what} must be a group or a test, not {kind_of(node)}", node.place
        )
        return None
    groups = [entry for entry in node.entries if entry.key in GROUPS]
    if not groups:
        return _leaf(node, what, policy, sink)
    if len(node.entries) > 1:
        sink.error(
            "bad-condition",
            f"{what} mixes {spoken(entry.key for entry in node.entries)} in one mapping",
            node.entries[1].key_place,
            "one group per mapping; put the groups under `all`",
        )
        return None
    return _group(groups[0], what, policy, sink)


def _group(
    entry: Entry, what: str, policy: Lookup[str, PolicyChoice], sink: Sink
) -> Condition | None:
    group = Group(entry.key)
    name = f"`{entry.key}` in {what}"
    if group is not Group.SOME:
        items = as_items(entry.value, name, sink)
        return _members(group, items, 0, what, policy, sink, entry.key_place)
    if not isinstance(entry.value, Mapping):
        sink.error(
            "wrong-node",
            f"{name} must be a mapping, not {kind_of(entry.value)}",
            entry.value.place,
            "write {at_least: k, of: [..]}",
        )
        return None
    fields = Fields(entry.value, name, ("at_least", "of"), sink)
    at_least = fields.node("at_least", required=True)
    of = fields.node("of", required=True)
    if at_least is None or of is None:
        return None
    wanted = as_whole(at_least, f"`at_least` in {name}", sink)
    items = as_items(of, f"`of` in {name}", sink)
    if wanted is not None and items and not 1 <= wanted <= len(items):
        sink.error(
            "some-bounds", f"{name} asks for {wanted} of {len(items)} members", at_least.place
        )
    return _members(group, items, wanted or 0, what, policy, sink, entry.key_place)


def _members(
    group: Group,
    items: tuple[Node, ...],
    at_least: int,
    what: str,
    policy: Lookup[str, PolicyChoice],
    sink: Sink,
    place: Place,
) -> Condition:
    read = (read_condition(item, what, policy, sink) for item in items)
    members = tuple(member for member in read if member is not None)
    return Members(group, members, at_least, place)


def _leaf(node: Mapping, what: str, policy: Lookup[str, PolicyChoice], sink: Sink) -> Leaf | None:
    subjects = [entry for entry in node.entries if entry.key in SOURCES]
    tests = [entry for entry in node.entries if entry.key not in SOURCES]
    if len(subjects) != 1:
        _no_subject(node, subjects, what, sink)
        return None
    source = Source(subjects[0].key)
    name = as_word(subjects[0].value, f"`{source}` in {what}", sink)
    operators = [test for test in tests if _operator(test, source, name, sink)]
    if len(operators) < len(tests):
        return None
    if not tests:
        sink.error(
            "bad-condition",
            f"the test of `{name}` in {what} has no operator",
            node.place,
            f"operators: {', '.join(op for op in Op if op in OPERATORS[source])}",
        )
        return None
    if len(operators) > 1:
        sink.error(
            "several-operators",
            f"the test of `{name}` in {what} has {spoken(entry.key for entry in operators)}",
            operators[1].key_place,
        )
        return None
    op = Op(operators[0].key)
    operand = _operand(operators[0].value, op, name, policy, sink)
    if operand is None or not name:
        return None
    return Leaf(source, name, op, operand.words, operand.number, operand.policy, node.place)


def _no_subject(node: Mapping, subjects: list[Entry], what: str, sink: Sink) -> None:
    if subjects:
        named = spoken(entry.key for entry in subjects)
        sink.error("bad-condition", f"a test in {what} has {named}", subjects[1].key_place)
        return
    guess = None
    if node.entries:
        guess = hint(node.entries[0].key, GROUPS + SOURCES)
    sink.error(
        "bad-condition",
        f"a condition in {what} is neither a group ({', '.join(GROUPS)}) "
        f"nor a test of a {', '.join(SOURCES[:-1])} or {SOURCES[-1]}",
        node.place,
        guess,
    )


def _operator(entry: Entry, source: Source, name: str, sink: Sink) -> bool:
    allowed = tuple(op.value for op in Op if op in OPERATORS[source])
    if entry.key in allowed:
        return True
    if entry.key in tuple(Op):
        message = f"a {source} such as `{name}` has no operator `{entry.key}`"
    else:
        message = f"`{entry.key}` is no operator"
    sink.error(
        "bad-operator",
        message,
        entry.key_place,
        hint(entry.key, allowed) or f"operators of a {source}: {', '.join(allowed)}",
    )
    return False


def _operand(
    node: Node, op: Op, name: str, policy: Lookup[str, PolicyChoice], sink: Sink
) -> _Operand | None:
    what = f"the operand of `{op}` for `{name}`"
    if op in TRUE_OPS:
        return _true(node, op, name, sink)
    if op in LIST_OPS:
        if isinstance(node, Scalar):
            sink.error("bad-operand", f"{what} must be a list of words", node.place)
            return None
        words = as_words(node, what, sink)
        return _Operand(words) if words else None
    if isinstance(node, Mapping):
        return _policy_operand(node, what, policy, sink)
    if not isinstance(node, Scalar) or node.value is None or isinstance(node.value, bool):
        sink.error(
            "bad-operand", f"{what} must be one word or number, not {kind_of(node)}", node.place
        )
        return None
    word = as_word(node, what, sink)
    return _Operand((word,), number_of(node)) if word else None


def _true(node: Node, op: Op, name: str, sink: Sink) -> _Operand | None:
    value = node.value if isinstance(node, Scalar) else None
    if value is True:
        return _Operand()
    if value is False and op is Op.KNOWN:
        sink.error("known-false", f"`known: false` for `{name}` does not exist", node.place)
    else:
        sink.error(
            "bad-operand",
            f"the operand of `{op}` for `{name}` must be true",
            node.place,
            "to deny it, put the test under `none`" if value is False else None,
        )
    return None


def _policy_operand(
    node: Mapping, what: str, policy: Lookup[str, PolicyChoice], sink: Sink
) -> _Operand | None:
    """`{policy: ID}`: the value chosen there. An unknown id stays for the checks to judge."""
    if [entry.key for entry in node.entries] != ["policy"]:
        sink.error(
            "bad-operand", f"{what} must be one word, a number or {{policy: id}}", node.place
        )
        return None
    name = as_word(node.entries[0].value, what, sink)
    if not name:
        return None
    choice = policy.get(name)
    if choice is None:
        return _Operand(policy=name)
    number = Decimal(choice.value) if isinstance(choice.value, int) else None
    return _Operand((str(choice.value),), number, name)
