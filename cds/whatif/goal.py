"""How far a case could be settled, and what still stands between it and that.

A goal is a care, an urgency and a rung: no more careful than the first two, and up to the third.
What must still be answered for a goal is a list of sets of inputs, each of which has to be touched:
a rule that holds more than the goal allows stays open, and so keeps holding, until then.
"""

from __future__ import annotations

from dataclasses import dataclass

from cds.decide import Decider
from cds.engine.path import NO_SKIP, Resolved
from cds.explain.effects import BEARING
from cds.explain.headline import SETTLED, STOPPED
from cds.rulebook.program import Slot
from cds.vocabulary.model import CARE, URGENCIES, Careful
from cds.whatif.cones import Cones
from cds.whatif.look import Look


@dataclass(frozen=True, order=True, slots=True)
class Goal:
    """Less is more favourable: positions of care and urgency, and rungs short of the top."""

    care: int
    urgency: int
    short: int


class Goals:
    """Goals of one program's cases."""

    def __init__(self, decider: Decider) -> None:
        self.decider = decider
        self.program = decider.program
        self.resolver = decider.resolver
        self.cones = Cones(decider.program)
        self.top = len(self.resolver.rungs) - 1
        self.worst = Goal(len(CARE) - 1, len(URGENCIES) - 1, self.top)

    def reached(self, look: Look) -> Goal:
        """What the case comes to as it stands."""
        return self._goal(look.paths.now)

    def bound(self, look: Look) -> Goal:
        """No set of answers comes to more than this."""
        return self._goal(look.paths.least)

    def settles(self, look: Look, goal: Goal) -> bool:
        """Whether the case is settled at the goal or better."""
        found = self.reached(look)
        return (
            look.status == SETTLED
            and found.care <= goal.care
            and found.urgency <= goal.urgency
            and found.short <= goal.short
        )

    def lost(self, look: Look, goal: Goal) -> bool:
        """Whether no further answer leads to the goal."""
        bound = self.bound(look)
        return look.status == STOPPED or (
            bound.care > goal.care or bound.urgency > goal.urgency or bound.short > goal.short
        )

    def needed(self, look: Look, goal: Goal) -> list[frozenset[str]]:
        """Sets of inputs, each of which has to be touched on the way to the goal."""
        found = self._held_beyond(look, goal)
        path = self._towards(look, self.resolver.rungs[self.top - goal.short])
        found += path
        return found or [self._any(look)]

    # ------------------------------------------------------------ pieces
    def _goal(self, resolved: Resolved) -> Goal:
        return Goal(resolved.care, resolved.urgency, self.top - self.resolver.place[resolved.up_to])

    def _held_beyond(self, look: Look, goal: Goal) -> list[frozenset[str]]:
        """Open rules that hold a care or a referral beyond the goal."""
        found: list[frozenset[str]] = []
        for slot in self.program.slots:
            most = {"care_today": goal.care, "referral": goal.urgency}.get(slot.conclusion)
            if most is not None and slot.level is None:
                found += [
                    self.cones.of(look, number)
                    for number, value in look.readings.said(slot).held
                    if value > most
                ]
        return found

    def _towards(self, look: Look, rung: str) -> list[frozenset[str]]:
        """What one level or another still needs for the rung; nothing where one has it."""
        if rung not in self.resolver.needs:
            return []
        found: list[list[frozenset[str]]] = []
        for level in look.levels:
            sets = self._at_level(look, level, rung)
            if sets is None:
                continue
            if not sets:
                return []
            found.append(sets)
        if not found:
            return [self._any(look)]
        if len(found) == 1:
            return found[0]
        # one of the levels will do: something of each is in the union of one set of each
        return [frozenset[str]().union(*(min(sets, key=len) for sets in found))]

    def _at_level(self, look: Look, level: str, rung: str) -> list[frozenset[str]] | None:
        """The sets for one level; None where a fired rule keeps the rung shut there."""
        found: list[frozenset[str]] = []
        rungs = [rung]
        if rung in NO_SKIP:
            rungs.append(self.resolver.rungs[self.resolver.place[rung] - 1])
        for name in rungs:
            family, need = self.resolver.needs[name]
            for where in (None, level):
                slot = look.readings.slot("limit", family, where)
                if slot is None:
                    continue
                said = look.readings.said(slot)
                if any(value < need for _, value in said.fired):
                    return None
                found += [self.cones.of(look, n) for n, value in said.held if value < need]
            slot = look.readings.slot("indication", family, level)
            if slot is None or look.readings.bounds(slot).now != 1:
                found.append(self._writers(look, slot, 1))
        for where in (None, level):
            slot = look.readings.slot("target", None, where)
            place = self.resolver.place[rung]
            if slot is not None and slot.writers and look.readings.bounds(slot).now < place:
                found.append(self._writers(look, slot, place))
        if any(not inputs for inputs in found):
            return None
        if not found and rung not in look.paths.now.paths[level].steps:
            return [self._any(look)]  # held back by another level, or by care
        return found

    def _writers(self, look: Look, slot: Slot | None, least: int) -> frozenset[str]:
        """What the open rules that could write at least so much wait for."""
        if slot is None:
            return frozenset()
        could = [number for number, value in look.readings.said(slot).could if value >= least]
        return frozenset[str]().union(*(self.cones.of(look, number) for number in could))

    def _any(self, look: Look) -> frozenset[str]:
        """Whatever could move care, a referral or the path at all."""
        numbers: set[int] = set()
        for slot in self.program.slots:
            if slot.conclusion in BEARING:
                said = look.readings.said(slot)
                numbers |= {number for number, _ in (*said.could, *said.held)}
                assert slot.careful is not Careful.NEUTRAL
        return frozenset[str]().union(*(self.cones.of(look, number) for number in numbers))
