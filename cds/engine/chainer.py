"""The deciding engine: forward chaining by counting, three-valued.

Every gate counts down how many members it still needs to be true, and how many to be false; the
count that reaches zero decides it, and only then are its readers told. So an evaluation touches
what the inputs change and nothing else, and no order of rules can matter. What holds when nothing
is known is worked out once per set of listed levels and copied.

A run goes on: inputs may be added (the path's, for the prepare rules), never changed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import compress
from operator import itemgetter
from threading import Lock
from typing import Any

from cds.engine.chainer_tables import Codes, Listeners, Tables, code_of
from cds.engine.port import Inputs, Outcome
from cds.rulebook.program import Program
from cds.vocabulary.values import Input, Tri

BASES = 128
"""How many sets of listed levels keep their all-unknown state."""

_FIRED = bytes([0, 1, 0] + [0] * 253)  # state 1 is true
_OPEN = bytes([1, 0, 0] + [0] * 253)  # state 0 is unknown


@dataclass(slots=True)
class _State:
    """`truth` by code: 0 unknown, 1 true, 2 false. Counts by node."""

    truth: bytearray
    to_true: list[int]
    to_false: list[int]


@dataclass(frozen=True, slots=True)
class _Base:
    """The all-unknown state for one set of levels, and the instances it leaves to be decided.

    `raises` and `lowers` are the tables without the gates that no longer matter: those decided
    already, and those that only levels not listed stand on.
    """

    state: _State
    raises: Listeners
    lowers: Listeners
    fired: tuple[int, ...]
    open: tuple[int, ...]
    roots: Any  # an itemgetter over `truth`, giving a tuple in order of `open`; None for none


class Run:
    """One evaluation in progress."""

    def __init__(self, tables: Tables, base: _Base, levels: frozenset[str]) -> None:
        self.levels = levels
        self._tables = tables
        self._base = base
        state = base.state
        self._state = _State(state.truth[:], state.to_true[:], state.to_false[:])

    def extend(self, values: Mapping[str, Input]) -> None:
        """Adds inputs that were unknown. `ValueError` where one says otherwise than before."""
        decided = self._tables.decided
        codes: list[int] = []
        for name, value in values.items():
            codes += decided(name, value)
        _propagate(self._base.raises, self._base.lowers, self._state, codes)

    def outcome(self) -> Outcome:
        """Fired and open instances as of now."""
        base = self._base
        if not base.open:
            return Outcome(base.fired, ())
        states = bytes(base.roots(self._state.truth))
        fired = compress(base.open, states.translate(_FIRED))
        still = tuple(compress(base.open, states.translate(_OPEN)))
        if base.fired:
            return Outcome(tuple(sorted((*base.fired, *fired))), still)
        return Outcome(tuple(fired), still)

    def node_state(self, literal: int) -> Tri:
        """The truth of a literal of the program.

        A literal that only instances of levels that are not listed stand on may stay unknown; those
        instances themselves are always false.
        """
        return (Tri.UNKNOWN, Tri.TRUE, Tri.FALSE)[self._state.truth[code_of(literal)]]


class Chainer:
    """The engine for one program. Holds nothing of a case; safe to share between threads."""

    def __init__(self, program: Program, bases: int = BASES) -> None:
        self.program = program
        self._tables = Tables(program)
        self._limit = bases
        self._bases: dict[frozenset[str], _Base] = {}
        self._lock = Lock()

    def start(self, inputs: Inputs) -> Run:
        """A run with these inputs applied."""
        run = Run(self._tables, self._base(inputs.levels), inputs.levels)
        run.extend(inputs.values)
        return run

    def evaluate(self, inputs: Inputs) -> Outcome:
        """Fired and open instances."""
        return self.start(inputs).outcome()

    def _base(self, levels: frozenset[str]) -> _Base:
        found = self._bases.get(levels)
        if found is not None:
            return found
        made = self._make_base(levels)
        if self._limit > 0:
            with self._lock:
                if len(self._bases) >= self._limit:
                    self._bases.pop(next(iter(self._bases)), None)
                self._bases[levels] = made
        return made

    def _make_base(self, levels: frozenset[str]) -> _Base:
        tables = self._tables
        state = _State(bytearray(2 * self.program.nodes), tables.to_true[:], tables.to_false[:])
        codes = list(tables.constant)
        for level, node in tables.levels.items():
            codes.append(2 * node + (level not in levels))
        _propagate(tables.raises, tables.lowers, state, codes)
        live = self._live(levels, state.truth)
        fired: list[int] = []
        still: list[int] = []
        roots: list[int] = []
        for instance in self.program.instances:
            code = code_of(instance.root)
            truth = state.truth[code]
            if truth == 1:
                fired.append(instance.number)
            elif truth == 0:
                still.append(instance.number)
                roots.append(code)
        return _Base(
            state,
            _only(tables.raises, tables.wide_raises, live),
            _only(tables.lowers, tables.wide_lowers, live),
            tuple(fired),
            tuple(still),
            _getter(roots),
        )

    def _live(self, levels: frozenset[str], truth: bytearray) -> bytearray:
        """Which nodes may still change anything that is asked for: 1 by node."""
        live = bytearray(self.program.nodes)
        for level, nodes in self._tables.asked.items():
            if level is None or level in levels:
                for node in nodes:
                    live[node] = 1
        # members stand before their gate, so one pass backwards reaches everything below
        for gate in reversed(self.program.gates):
            if truth[2 * gate.node]:
                live[gate.node] = 0
            elif live[gate.node]:
                for literal in gate.members:
                    live[literal if literal >= 0 else ~literal] = 1
        return live


def _only(listeners: Listeners, wide: Codes, live: bytearray) -> Listeners:
    """The listeners without dead gates, where there are many: few are not worth looking through."""
    found = listeners[:]
    for code in wide:
        found[code] = tuple([gate for gate in listeners[code] if live[gate]])
    return found


def _getter(roots: list[int]) -> Any:
    if not roots:
        return None
    if len(roots) == 1:
        only = roots[0]
        return lambda truth: (truth[only],)
    return itemgetter(*roots)


def _propagate(raises: Listeners, lowers: Listeners, state: _State, codes: list[int]) -> None:
    """Makes the codes true and everything that follows from them. Uses up `codes`."""
    truth, to_true, to_false = state.truth, state.to_true, state.to_false
    while codes:
        code = codes.pop()
        if truth[code]:
            if truth[code] == 2:
                raise ValueError("an input was given twice with different values")
            continue
        truth[code] = 1
        truth[code ^ 1] = 2
        for gate in raises[code]:
            left = to_true[gate] = to_true[gate] - 1
            if not left:
                codes.append(2 * gate)
        for gate in lowers[code]:
            left = to_false[gate] = to_false[gate] - 1
            if not left:
                codes.append(2 * gate + 1)
