"""What each rule could do at most, through everything that reads what it concludes.

Computed once per program from the rule graph, never from a list: the slots a rule or any rule
downstream of it may write that bear on care, referral or path, with the strictest value.
"""

from __future__ import annotations

from dataclasses import dataclass

from cds.rulebook.program import Program

BEARING = ("care_today", "referral", "limit", "target", "indication", "concern")


@dataclass(frozen=True, slots=True)
class Effect:
    """The most a rule could do. `writes`: slot number -> the value position furthest from
    otherwise.

    `care` and `urgency` are positions on their scales (0 when it cannot touch them); `lowest` is
    the
    lowest position any hands-on limit could fall to, or None.
    """

    care: int
    urgency: int
    lowest: int | None
    writes: tuple[tuple[int, int], ...]


class Effects:
    """Effects by instance number for one program."""

    def __init__(self, program: Program) -> None:
        self.program = program
        hands_on = {f.name for f in program.ladder.of_group("hands_on")}
        self._own: list[dict[int, int]] = []
        for instance in program.instances:
            own: dict[int, int] = {}
            for write in instance.then:
                slot = program.slots[write.slot]
                if slot.conclusion in BEARING:
                    own[slot.number] = _stricter(slot.conclusion, own.get(slot.number), write.value)
            self._own.append(own)
        readers: list[set[int]] = [set() for _ in program.instances]
        for instance in program.instances:
            for read in instance.reads:
                if read.slot is not None:
                    for writer in program.slots[read.slot].writers:
                        readers[writer].add(instance.number)
        self._readers = readers
        self._hands_on = hands_on
        self._cache: dict[int, Effect] = {}

    def of(self, instance: int) -> Effect:
        """The effect of one instance, itself and downstream."""
        found = self._cache.get(instance)
        if found is None:
            found = self._cache[instance] = self._compute(instance)
        return found

    def _compute(self, start: int) -> Effect:
        seen = {start}
        todo = [start]
        writes: dict[int, int] = {}
        slots = self.program.slots
        while todo:
            number = todo.pop()
            for slot, value in self._own[number].items():
                old = writes.get(slot)
                lower = slots[slot].conclusion == "limit"
                if old is None or (value < old if lower else value > old):
                    writes[slot] = value
            for reader in self._readers[number]:
                if reader not in seen:
                    seen.add(reader)
                    todo.append(reader)
        care = max((v for s, v in writes.items() if slots[s].conclusion == "care_today"), default=0)
        urgency = max(
            (v for s, v in writes.items() if slots[s].conclusion == "referral"), default=0
        )
        lows = [
            v
            for s, v in writes.items()
            if slots[s].conclusion == "limit" and slots[s].key in self._hands_on
        ]
        return Effect(care, urgency, min(lows, default=None), tuple(sorted(writes.items())))


def _stricter(conclusion: str, old: int | None, value: int) -> int:
    if old is None:
        return value
    return min(old, value) if conclusion == "limit" else max(old, value)
