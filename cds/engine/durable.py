"""durable-rules as second witness behind the engine port. It never decides; it agrees or not.

The rules are translated a second time from what is written (`durable_translate`: dual rails,
`durable_rails`), the inputs tested a second time (`durable_host`), the rules cut into small
rulesets (`durable_strata`) and run by another engine in a process of its own (`durable_process`,
`durable_child`, `durable_guard`, `durable_names`). That engine has known faults; see the guards.
"""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from functools import cache
from threading import Lock
from types import TracebackType

from cds.engine.durable_host import facts_of, outcome_of
from cds.engine.durable_process import ChildProcess
from cds.engine.durable_process import WitnessFailed as WitnessFailed
from cds.engine.durable_strata import cut
from cds.engine.durable_translate import Translation, translate
from cds.engine.port import Inputs, Outcome
from cds.rulebook.program import Program

RECYCLE = 5_000
"""Evaluations after which a process makes way for a new one, against slow leaks."""

TIMEOUT = 30.0
"""Seconds for one answer, building the rules included."""


@cache
def available() -> str | None:
    """Why the witness cannot be used here, or None where it can."""
    if sys.version_info >= (3, 13):
        return "durable-rules cannot be imported on Python 3.13 and later"
    if importlib.util.find_spec("durable") is None:
        return "durable-rules is not installed (it needs a C compiler)"
    # in a process of its own: the library stays out of this one
    probe = subprocess.run(
        [sys.executable, "-c", "import durable.engine"], capture_output=True, check=False
    )
    return None if probe.returncode == 0 else "durable-rules is installed but cannot be imported"


class DurableWitness:
    """The witness for one program; shares nothing between evaluations. Threads take turns.

    `process` may serve several witnesses in turn. `translation` is for tests that plant faults.
    """

    def __init__(
        self,
        program: Program,
        process: ChildProcess | None = None,
        translation: Translation | None = None,
        timeout: float = TIMEOUT,
    ) -> None:
        self.program = program
        self.process = process or ChildProcess(timeout)
        self.translation = translation or translate(program)
        self.strata = cut(self.translation.derivations)
        self._known = frozenset(self.translation.names)
        self._asked = 0
        self._lock = Lock()

    def evaluate(self, inputs: Inputs) -> Outcome:
        """Fired and open instances. `WitnessFailed` where the engine gives no answer to trust."""
        facts = facts_of(self.translation, inputs)
        with self._lock:
            found = self._found(facts)
        if not self._known.issuperset(found):
            self.close()
            raise WitnessFailed("the engine's process named an unknown fact")
        try:
            return outcome_of(self.translation, self.program, inputs, frozenset(facts).union(found))
        except ValueError as error:
            self.close()
            raise WitnessFailed(str(error)) from None

    def _found(self, facts: list[str]) -> list[str]:
        """What the engine derives of these facts."""
        if not self.strata:
            return []  # nothing is derived: every rule is one test, or always the same
        if self._asked >= RECYCLE:
            self.process.close()
        if not self.process.running or self.process.holder is not self:
            self._load()
        self._asked += 1
        found = self.process.ask({"facts": facts}).get("found")
        if not isinstance(found, list):
            self.process.close()
            raise WitnessFailed("the engine's process gave an answer of another kind")
        return found

    def _load(self) -> None:
        rules = [[(rule.needs, rule.gives) for rule in found.rules] for found in self.strata]
        self.process.ask({"load": rules, "names": self.translation.names})
        self.process.holder = self
        self._asked = 0

    def close(self) -> None:
        """Ends the process. A later evaluation starts another."""
        self.process.close()

    def __enter__(self) -> DurableWitness:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
