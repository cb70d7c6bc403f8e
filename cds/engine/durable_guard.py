"""durable-rules behind guards. Loaded only in the child process: a fault here may be a crash.

What each guard keeps away was measured on durable-rules 2.0.28 (unmaintained since 2020):

- No background threads (`SyncHost`): with them, deleting a session is a use after free.
- Rules as plain data, never its decorators (global state); copied, since registering changes them.
- Positive conditions only: its `none()` fires with the denied fact already there.
- A fact of ours alone first (`alive`), so that every session has fired once: deleting one that
  never fired frees memory that was never set. A `sink` rule, so that every fact is "handled".
- Consequents only note and derive, once each, and keep their own exceptions: the engine swallows
  them. Its `exception` is read after each call, and our own limits on firings and time hold.
- No empty batch (it ends the process); after each batch the stored facts are counted (facts after
  one that it cannot read are dropped silently).
- A session per stratum and evaluation, deleted in every path; 1,000 at most (the 1,025th crashes).
- Clock: an action over ten seconds of local time loses the rules after it without an error.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from copy import deepcopy
from typing import Any

from durable import engine

from cds.engine.durable_names import check_names
from cds.engine.durable_strata import Stratum, check_stratum

MAX_SESSIONS = 1000
MAX_CLOCK_JUMP = 2.0
"""Seconds that wall and monotonic clock may part, and that one stratum may take."""

Consequent = Callable[[Any], None]


class EngineFault(Exception):
    """The engine did something that its answer must not be trusted after. Names no case value."""


class SyncHost(engine.Host):  # type: ignore[misc]
    """A host without timers: everything happens in the calling thread."""

    def _run(self) -> None:
        return


class Session:
    """What the consequents of one stratum did in one evaluation."""

    def __init__(self, sent: Iterable[str], read: frozenset[str], limit: int) -> None:
        self.trace: list[str] = []
        self.problem: str | None = None
        self.asserted = 0
        self._known = set(sent)
        self._read = read
        self._limit = limit
        self._wall, self._steady = time.time(), time.monotonic()
        self.fired = 0

    def derive(self, fact: str, closure: Any) -> None:
        """Notes the fact; asserts it once, where a rule of the same stratum reads it."""
        try:
            self.fired += 1
            if self.fired > self._limit:
                raise EngineFault("a rule fired more often than it can")
            self.check_clock()
            if fact in self._known:
                return
            self._known.add(fact)
            self.trace.append(fact)
            if fact in self._read:
                closure.assert_fact({"n": fact})
                self.asserted += 1
        except Exception as error:  # the engine would swallow it
            self.problem = self.problem or f"{type(error).__name__} in a consequent"

    def check_clock(self) -> None:
        """`EngineFault` where the time is up or the wall clock jumped."""
        steady = time.monotonic() - self._steady
        if steady > MAX_CLOCK_JUMP or abs(time.time() - self._wall - steady) > MAX_CLOCK_JUMP:
            raise EngineFault("the clock jumped or a stratum took too long")


class GuardedEngine:
    """Rulesets of one translation. Not for more than one thread."""

    _hosts = 0
    _sessions = 0
    """Counters of this process: no two rulesets or sessions ever share a name."""

    def __init__(self, strata: Sequence[Stratum], names: Iterable[str]) -> None:
        self.names = frozenset(names)
        check_names(sorted(self.names))
        rules: dict[str, dict[str, Any]] = {}
        self.strata: dict[str, Stratum] = {}
        GuardedEngine._hosts += 1
        for number, stratum in enumerate(strata):
            check_stratum(stratum)
            if not self.names.issuperset(
                name for rule in stratum.rules for name in (*rule.needs, rule.gives)
            ):
                raise ValueError("a rule names a fact outside the list")
            ruleset = f"h{GuardedEngine._hosts}r{number}"
            self.strata[ruleset] = stratum
            rules[ruleset] = self._rules(stratum)
        check_names([*rules, *(f"c{number}" for number in range(16))])
        self.live = 0
        self._session: Session | None = None
        self.host = SyncHost()
        self.host.set_rulesets(deepcopy(rules))

    def run(self, facts: Sequence[str]) -> list[str]:
        """Every fact derived, in order. `EngineFault` where a guard finds something wrong."""
        unknown = [fact for fact in facts if fact not in self.names]
        if unknown or len(set(facts)) != len(facts):
            raise EngineFault("a fact outside the list, or one given twice")
        known = set(facts)
        found: list[str] = []
        for ruleset, stratum in self.strata.items():
            sent = [fact for fact in stratum.reads if fact in known]
            if sent:  # an empty batch ends the process
                new = self._stratum(ruleset, stratum, sent)
                fresh = [fact for fact in new if fact not in known]
                known.update(fresh)
                found += fresh
        return found

    def _stratum(self, ruleset: str, stratum: Stratum, sent: list[str]) -> list[str]:
        if self.live >= MAX_SESSIONS:
            raise EngineFault("too many sessions")
        GuardedEngine._sessions += 1
        sid = f"s{GuardedEngine._sessions}"
        session = Session(sent, frozenset(stratum.reads), len(stratum.rules))
        self._session = session
        self.live += 1
        try:
            checked(self.host.assert_fact(ruleset, {"n": "alive", "sid": sid}))
            checked(self.assert_facts(ruleset, [{"n": fact, "sid": sid} for fact in sent]))
            stored = len(self.host.get_facts(ruleset, sid))
            session.check_clock()
        except EngineFault:
            raise
        except Exception as error:  # its own kinds: not handled, already observed, error numbers
            raise EngineFault(f"{type(error).__name__} from the engine") from None
        finally:
            self._session = None
            self.host.delete_state(ruleset, sid)
            self.live -= 1
        if session.problem is not None:
            raise EngineFault(session.problem)
        if stored != 1 + len(sent) + session.asserted:
            raise EngineFault("the engine stored another number of facts than it was given")
        return session.trace

    def assert_facts(self, ruleset: str, facts: list[dict[str, str]]) -> Any:
        """A batch. `EngineFault` for an empty one."""
        if not facts or not all(facts):
            raise EngineFault("an empty batch, or an empty fact")
        return self.host.assert_facts(ruleset, facts)

    def _rules(self, stratum: Stratum) -> dict[str, Any]:
        found: dict[str, Any] = {
            "keep": {"all": [{"c0": {"n": "alive"}}], "run": _nothing},
            "sink": {
                "all": [{"c0": {"n": "never"}}, {"c1": {"$ex": {"n": 1}}}],
                "run": _nothing,
            },
        }
        for number, rule in enumerate(stratum.rules):
            found[f"d{number}"] = {
                "all": [{f"c{place}": {"n": need}} for place, need in enumerate(rule.needs)],
                "run": self._consequent(rule.gives),
            }
        return found

    def _consequent(self, fact: str) -> Consequent:
        def run(closure: Any) -> None:
            if self._session is not None:
                self._session.derive(fact, closure)

        return run


def checked(result: Any) -> None:
    """`EngineFault` where the engine noted an exception in the session's state."""
    if isinstance(result, dict) and "exception" in result:
        raise EngineFault("an exception in a consequent")


def _nothing(closure: Any) -> None:
    """A consequent without effect."""
