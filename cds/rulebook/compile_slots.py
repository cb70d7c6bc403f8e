"""Slots and what a test of a conclusion means as a gate over the rules that write it.

Readers see only what fired rules conclude; an open rule makes what it names unknown. For a flag or
a member of a set that is an `any` gate over its writers. On a scale, `at_least v` is true once a
rule concluded v or more. Where `otherwise` is itself v or more, it is also true while no rule
concluded less. What is held (`while_unknown`) never enters: the checks see to it that `then` of the
same rule names the same slot at least as strictly.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cds.rulebook.compile_network import Network
from cds.rulebook.conditions import Leaf
from cds.rulebook.ground import ALL_LEVELS, SlotKey
from cds.rulebook.program import Slot
from cds.vocabulary.model import Combine, Conclusion, slot_name
from cds.vocabulary.values import Op

SCALES = frozenset({Combine.WORST, Combine.HIGHEST, Combine.LOWEST})
FLAG_VALUES = ("no", "yes")

Concluding = Iterable[tuple[int, int]]
"""(value position, literal of the writing instance's root) of every `then` write to a slot."""


def slot_values(conclusion: Conclusion, key: str | None) -> tuple[str, ...]:
    """The slot's values, least first; a flag has `no` and `yes`."""
    return FLAG_VALUES if conclusion.combine is Combine.FLAG else conclusion.values_of(key)


def slot_otherwise(conclusion: Conclusion, key: str | None) -> str | None:
    """What holds when nobody concluded anything: on a scale the declared value or its mild end."""
    if conclusion.combine not in SCALES:
        return None
    if conclusion.otherwise is not None:
        return conclusion.otherwise
    values = slot_values(conclusion, key)
    if not values:
        return None
    return values[-1] if conclusion.combine is Combine.LOWEST else values[0]


def make_slots(
    conclusions: Mapping[str, Conclusion], writers: Mapping[SlotKey, Iterable[int]]
) -> dict[SlotKey, Slot]:
    """A slot for every key of `writers`, numbered by conclusion, key and level in their order."""
    rank = {name: place for place, name in enumerate(conclusions)}
    keys = {name: {k: n for n, k in enumerate(c.keys)} for name, c in conclusions.items()}
    levels = {level: place for place, level in enumerate(("", *ALL_LEVELS))}

    def order(slot: SlotKey) -> tuple[int, int, str, int]:
        place = keys[slot.conclusion].get(slot.key, -1)
        return rank[slot.conclusion], place, slot.key, levels[slot.level]

    found: dict[SlotKey, Slot] = {}
    for number, slot in enumerate(sorted(writers, key=order)):
        conclusion = conclusions[slot.conclusion]
        key, level = slot.key or None, slot.level or None
        found[slot] = Slot(
            number=number,
            name=slot_name(slot.conclusion, key, level),
            conclusion=slot.conclusion,
            key=key,
            level=level,
            combine=conclusion.combine,
            careful=conclusion.careful,
            values=slot_values(conclusion, key),
            otherwise=slot_otherwise(conclusion, key),
            writers=tuple(sorted(set(writers[slot]))),
        )
    return found


def read_slot(network: Network, slot: Slot, concluding: Concluding, leaf: Leaf) -> int:
    """The literal of a test of a conclusion."""
    writes = list(concluding)
    if slot.combine in SCALES:
        return _read_scale(network, slot, writes, leaf.op, slot.values.index(leaf.words[0]))
    if leaf.op is Op.HOLDS:
        return network.any_of(root for _, root in writes)
    if leaf.op is Op.EMPTY:
        return ~network.any_of(root for _, root in writes)
    if leaf.op in (Op.HAS, Op.HAS_ANY_OF, Op.IS, Op.IN, Op.IS_NOT):
        wanted = {slot.values.index(word) for word in leaf.words}
        found = network.any_of(root for value, root in writes if value in wanted)
        return ~found if leaf.op is Op.IS_NOT else found
    raise ValueError(f"operator {leaf.op} does not test {slot.name}")


def _read_scale(
    network: Network, slot: Slot, writes: list[tuple[int, int]], op: Op, place: int
) -> int:
    # Every test is `at_least` some position, or its denial.
    if op is Op.AT_LEAST:
        return _reaches(network, slot, writes, place)
    if op is Op.MORE_THAN:
        return _reaches(network, slot, writes, place + 1)
    if op is Op.LESS_THAN:
        return ~_reaches(network, slot, writes, place)
    if op is Op.AT_MOST:
        return ~_reaches(network, slot, writes, place + 1)
    raise ValueError(f"operator {op} does not test the scale {slot.name}")


def _reaches(network: Network, slot: Slot, writes: list[tuple[int, int]], place: int) -> int:
    """Whether the slot stands at `place` or higher."""
    otherwise = slot.values.index(slot.otherwise) if slot.otherwise is not None else 0
    high = [root for value, root in writes if value >= place]
    low = [root for value, root in writes if value < place]
    if slot.combine is Combine.LOWEST:
        # one low write decides; nobody low: the high ones, or `otherwise` where that is high
        below = low if otherwise >= place else [*low, ~network.any_of(high)]
        return ~network.any_of(below)
    return network.any_of(high if otherwise < place else [*high, ~network.any_of(low)])
