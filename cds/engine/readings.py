"""What fired and open rules say together: three readings of every slot.

`now` is advised: what fired rules conclude plus what open rules hold. `most_careful` is as if every
open careful rule fired and no open permissive rule did, `least_careful` the reverse. An answer only
narrows most_careful … least_careful.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from cds.engine.port import Outcome
from cds.rulebook.program import Program, Slot
from cds.vocabulary.model import Careful, Combine, slot_name


@dataclass(slots=True)
class Said:
    """What was said of one slot: (instance number, value position) by how it was said."""

    fired: list[tuple[int, int]] = field(default_factory=list)
    held: list[tuple[int, int]] = field(default_factory=list)
    could: list[tuple[int, int]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Bounds:
    """Positions in the slot's values (scales): as advised, and its two bounds."""

    now: int
    most_careful: int
    least_careful: int

    @property
    def settled(self) -> bool:
        """Whether no further answer can move it."""
        return self.most_careful == self.least_careful


class Readings:
    """The three readings of every slot that any fired or open instance names."""

    def __init__(self, program: Program, outcome: Outcome) -> None:
        self.program = program
        self.outcome = outcome
        self._said: dict[int, Said] = {}
        self._bounds: dict[int, Bounds] = {}
        instances = program.instances
        for number in outcome.fired:
            for write in instances[number].then:
                self._of(write.slot).fired.append((number, write.value))
        for number in outcome.open:
            for write in instances[number].then:
                self._of(write.slot).could.append((number, write.value))
            for write in instances[number].holds:
                self._of(write.slot).held.append((number, write.value))

    def _of(self, slot: int) -> Said:
        found = self._said.get(slot)
        if found is None:
            found = self._said[slot] = Said()
        return found

    def said(self, slot: Slot) -> Said:
        """What was said of the slot; empty lists when nothing was."""
        return self._said.get(slot.number) or Said()

    def slot(
        self, conclusion: str, key: str | None = None, level: str | None = None
    ) -> Slot | None:
        """The slot by name, or None when the program has no such slot."""
        number = self.program.slot_numbers.get(slot_name(conclusion, key, level))
        return None if number is None else self.program.slots[number]

    def bounds(self, slot: Slot) -> Bounds:
        """The three readings of a scale or flag slot (a flag reads 0 or 1)."""
        found = self._bounds.get(slot.number)
        if found is None:
            found = self._bounds[slot.number] = self._read(slot)
        return found

    def _read(self, slot: Slot) -> Bounds:
        said = self._said.get(slot.number)
        default = _default(slot)
        if said is None:
            return Bounds(default, default, default)
        fired = [value for _, value in said.fired]
        could = fired + [value for _, value in said.could]
        held = fired + [value for _, value in said.held]
        if slot.careful is Careful.MORE:
            return Bounds(
                combine(slot, held, default),
                combine(slot, could, default),
                combine(slot, fired, default),
            )
        now = combine(slot, fired, default)
        return Bounds(now, now, combine(slot, could, default))

    def members(self, slot: Slot) -> list[tuple[int, int]]:
        """For sets: (instance, member position) that fired rules put in, in instance order."""
        said = self._said.get(slot.number)
        return [] if said is None else sorted(said.fired)


def combine(slot: Slot, values: Iterable[int], default: int) -> int:
    """One position from several, as the slot combines; `default` when there are none."""
    found = list(values)
    if slot.combine is Combine.FLAG:
        return 1 if found else 0
    if not found:
        return default
    return min(found) if slot.combine is Combine.LOWEST else max(found)


def _default(slot: Slot) -> int:
    if slot.combine is Combine.FLAG or slot.otherwise is None:
        return 0
    return slot.values.index(slot.otherwise)
