"""The network of leaves and threshold gates, built so that nothing is in it twice.

Every condition is a threshold gate: true once `need` members are true, false once so many are false
that `need` can no longer be met. Negation is a sign on a literal, not a node. A gate that is the
same for every case (constants) or the same as its one member is not built.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.rulebook.program import GateNode, LeafNode
from cds.vocabulary.values import Op

LeafKey = tuple[str, Op, tuple[str, ...], int | None]


class Network:
    """Collects nodes. Members of a gate are always built before it, so numbers only point back."""

    def __init__(self) -> None:
        self.nodes = 0
        self.leaves: list[LeafNode] = []
        self.gates: list[GateNode] = []
        self._leaf: dict[LeafKey, int] = {}
        self._gate: dict[tuple[int, tuple[int, ...]], int] = {}
        self._true: int | None = None

    def constant(self, value: bool) -> int:
        """A literal that is always true, or its negation."""
        if self._true is None:
            self._true = self._add_gate(0, ())
        return self._true if value else ~self._true

    def leaf(
        self,
        name: str,
        op: Op,
        words: tuple[str, ...] = (),
        limit: int | None = None,
        order: tuple[str, ...] = (),
    ) -> int:
        """The literal of a test; the same test is the same node."""
        key = (name, op, words, limit)
        found = self._leaf.get(key)
        if found is None:
            found = self._leaf[key] = self.nodes
            self.leaves.append(LeafNode(found, name, op, words, limit, order))
            self.nodes += 1
        return found

    def at_least(self, need: int, members: Iterable[int]) -> int:
        """True once `need` members are. Order has no meaning; repeated members count each time."""
        found = list(members)
        if self._true is not None:
            need -= found.count(self._true)
            found = [m for m in found if m not in (self._true, ~self._true)]
        if need == 1 or need == len(found):
            # of `any` and `all` a member is enough once
            found = list(dict.fromkeys(found))
            need = min(need, len(found)) if need != 1 else 1
        if need <= 0:
            return self.constant(True)
        if need > len(found):
            return self.constant(False)
        if len(found) == 1:
            return found[0]
        key = (need, tuple(sorted(found)))
        gate = self._gate.get(key)
        if gate is None:
            gate = self._gate[key] = self._add_gate(*key)
        return gate

    def any_of(self, members: Iterable[int]) -> int:
        """True once one member is; false for no members."""
        return self.at_least(1, members)

    def all_of(self, members: Iterable[int]) -> int:
        """True once every member is; true for no members."""
        found = list(members)
        return self.at_least(len(found), found)

    def _add_gate(self, need: int, members: tuple[int, ...]) -> int:
        number = self.nodes
        self.gates.append(GateNode(number, need, members))
        self.nodes += 1
        return number
