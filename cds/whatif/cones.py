"""On what an open rule still waits: the unknown tests below it that could decide it.

The condition of a rule, and "some rule concluded it", are gates of one network. A rule that is open
stays open until one of the unknown leaves in the undecided part of its network becomes known, so a
set of answers that touches none of them leaves it as it is.
"""

from __future__ import annotations

from cds.rulebook.program import Program
from cds.vocabulary.model import at_level
from cds.vocabulary.values import Tri
from cds.vocabulary.vocabulary import Vocabulary
from cds.whatif.asks import Ask
from cds.whatif.look import Look


class Cones:
    """The unknown inputs below the open rules of a program's cases."""

    def __init__(self, program: Program) -> None:
        self.leaf = {leaf.node: leaf.input for leaf in program.leaves}
        self.members = {gate.node: gate.members for gate in program.gates}
        self.roots = [instance.root for instance in program.instances]

    def of(self, look: Look, number: int) -> frozenset[str]:
        """The inputs whose answers could close one open instance."""
        found: set[str] = set()
        seen: set[int] = set()
        todo = [self.roots[number]]
        while todo:
            literal = todo.pop()
            node = literal if literal >= 0 else ~literal
            if node in seen or look.run.node_state(node) is not Tri.UNKNOWN:
                continue
            seen.add(node)
            if node in self.leaf:
                found.add(self.leaf[node])
            else:
                todo.extend(self.members.get(node, ()))
        return frozenset(found)


class Reach:
    """Which inputs an answer to a question may touch, itself or through what leans on it."""

    def __init__(self, program: Program, vocabulary: Vocabulary) -> None:
        self._found: dict[object, tuple[set[str], set[str]]] = {}
        self._leaning: dict[str, set[str]] = {}
        for name, needs in vocabulary.leans.items():
            for needed in {*needs, *vocabulary.findings[name].voided_by}:
                self._leaning.setdefault(needed, set()).add(name)
        self._read: dict[str, set[str]] = {}
        for name, feature in program.features.items():
            for read in feature.reads:
                self._read.setdefault(read, set()).add(name)

    def touches(self, ask: Ask, inputs: frozenset[str]) -> bool:
        """Whether an answer to the question may make any of these inputs known."""
        key = (ask.members, ask.part)
        if key not in self._found:
            self._found[key] = self._of(ask)
        own, wide = self._found[key]
        return not own.isdisjoint(inputs) or any(n.partition("@")[0] in wide for n in inputs)

    def _of(self, ask: Ask) -> tuple[set[str], set[str]]:
        """Grounded names the answer is itself, and bare names of what leans on it or reads it."""
        own = {at_level(finding, level) for finding, level in ask.members}
        bare = {finding for finding, _ in ask.members}
        wide: set[str] = set()
        todo = [*bare, *([ask.part] if ask.part else [])]
        while todo:
            here = todo.pop()
            for name in (*self._leaning.get(here, ()), *self._read.get(here, ())):
                if name not in wide:
                    wide.add(name)
                    todo.append(name)
        return own, wide
