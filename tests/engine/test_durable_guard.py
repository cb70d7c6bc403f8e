"""What durable-rules does without each guard, and that the guard keeps it away.

The unguarded engine runs in processes of its own: several of these faults end the process.
"""

from __future__ import annotations

import subprocess
import sys
import threading
from typing import Any

import pytest

from cds.engine.durable_rails import Derivation
from cds.engine.durable_strata import Stratum, cut
from tests.support.optional import require

require("durable")

from durable import engine  # noqa: E402

from cds.engine import durable_guard  # noqa: E402
from cds.engine.durable_guard import (  # noqa: E402
    EngineFault,
    GuardedEngine,
    Session,
    SyncHost,
    checked,
)

FRAME = """
from durable import engine
class Host(engine.Host):
    def _run(self): pass
def keep(c): pass
def rule(run, *names):
    return {'all': [{f'c{i}': {'n': n}} for i, n in enumerate(names)], 'run': run}
def sink():
    return {'all': [{'z': {'n': 'never'}}, {'y': {'$ex': {'n': 1}}}], 'run': keep}
def fact(name, sid='s1', **more): return {'n': name, 'sid': sid, **more}
hits = []
def hit(c): hits.append(1)
h = Host()
"""

CHAIN = [Derivation(("a", "b"), "d"), Derivation(("d", "e"), "f"), Derivation(("x",), "f")]
NAMES = ["a", "b", "d", "e", "f", "x"]


def raw(script: str, timeout: float = 20.0) -> tuple[int, str]:
    """Exit code (negative: killed by a signal) and output of the unguarded engine."""
    command = [sys.executable, "-c", FRAME + script]
    found = subprocess.run(command, capture_output=True, text=True, timeout=timeout, check=False)
    return found.returncode, found.stdout.strip()


def killed(script: str) -> bool:
    code, said = raw(script)
    return code < 0 and not said


def guarded(rules: list[Derivation] = CHAIN, names: list[str] = NAMES) -> GuardedEngine:
    return GuardedEngine(cut(rules), names)


def test_derives_forward_each_fact_once() -> None:
    found = guarded()
    assert found.run(["a", "b", "e", "x"]) in (["d", "f"], ["f", "d"])
    assert found.run(["a", "b"]) == ["d"]
    assert found.run(["a", "e"]) == []
    assert found.run([]) == []
    assert found.live == 0


def test_several_strata_hand_facts_on() -> None:
    chain = [Derivation((f"p{n}",), f"p{n + 1}") for n in range(300)]
    found = guarded(chain, [f"p{n}" for n in range(301)])
    assert len(found.strata) > 2
    assert found.run(["p0"]) == [f"p{n}" for n in range(1, 301)]


# 1 no threads, plain data, copies


def test_its_own_host_starts_threads_and_ours_none() -> None:
    script = "import threading\nengine.Host()\nprint(threading.active_count())"
    assert raw(script) == (0, "3")
    before = threading.active_count()
    SyncHost()
    guarded().run(["a", "b"])
    assert threading.active_count() == before


def test_registering_changes_the_rules_it_is_given() -> None:
    script = "r = {'r': {'a': rule(keep, 'x')}}\nh.set_rulesets(r)\nprint('run' in r['r']['a'])"
    assert raw(script) == (0, "False")


def test_ours_are_copied(monkeypatch: pytest.MonkeyPatch) -> None:
    kept: list[dict[str, Any]] = []
    original = GuardedEngine._rules

    def noted(self: GuardedEngine, stratum: Stratum) -> dict[str, Any]:
        kept.append(original(self, stratum))
        return kept[-1]

    monkeypatch.setattr(GuardedEngine, "_rules", noted)
    guarded()
    assert all("run" in rule for rules in kept for rule in rules.values())


# 2 positive conditions only


def test_its_negation_fires_with_the_denied_fact_there() -> None:
    script = """
a = {'all': [{'c0': {'n': 'x'}}, {'m$not': {'n': 'denied'}}], 'run': hit}
h.set_rulesets({'r': {'a': a, 'sink': sink()}})
h.assert_facts('r', [fact('x'), fact('denied')])
print(len(hits))"""
    assert raw(script) == (0, "1")


def test_our_rules_hold_nothing_but_equal_conjuncts() -> None:
    found = guarded()
    (ruleset,) = found.strata
    for name, rule in found.host.get_ruleset(ruleset).get_definition().items():
        assert set(rule) == {"all"}
        tests = [test for part in rule["all"] for test in part.values()]
        plain = all(set(t) == {"n"} and isinstance(t["n"], str) for t in tests)
        assert plain or name == "sink"


# 3 few facts in a rule, few conditions, few rules on one fact


@pytest.mark.parametrize(
    ("rules", "facts"),
    [
        ("{'a': rule(hit, *[f'x{i}' for i in range(17)])}", 17),
        (
            "{f'a{i}': {'all': [{'m': {'$and': [{'n': 'x0'}, {'$lt': {'v': i}}]}}], 'run': hit}"
            " for i in range(1, 70)}",
            1,
        ),
    ],
)
def test_beyond_its_limits_nothing_fires(rules: str, facts: int) -> None:
    script = f"""
h.set_rulesets({{'r': {{'sink': sink(), **{rules}}}}})
try:
    h.assert_facts('r', [fact(f'x{{i}}', v=0) for i in range({facts})])
except Exception as error: print(error)
print(len(hits))"""
    code, said = raw(script)
    assert code == 0
    assert "error code: 30" in said
    assert said.endswith("0")


def test_256_rules_on_one_condition_end_the_process() -> None:
    script = """
h.set_rulesets({'r': {'sink': sink(), **{f'a{i}': rule(keep, 'x') for i in range(256)}}})
h.assert_fact('r', fact('x'))
print('alive')"""
    assert killed(script)


def test_520_conditions_hang_it() -> None:
    script = """
h.set_rulesets({'r': {'sink': sink(), **{f'a{i}': rule(hit, f'x{i}') for i in range(520)}}})
h.assert_facts('r', [fact(f'x{i}') for i in range(520)])"""
    with pytest.raises(subprocess.TimeoutExpired):
        raw(script, timeout=2.0)


def test_ours_are_refused_beyond_the_limits_and_bear_what_is_within() -> None:
    wide = Stratum(tuple(Derivation(("a",), f"d{n}") for n in range(256)), ("a",))
    with pytest.raises(ValueError, match="stratum"):
        GuardedEngine([wide], ["a", *(f"d{n}" for n in range(256))])
    names = [f"d{n}" for n in range(600)]
    many = [Derivation(("a",), name) for name in names]
    assert guarded(many, ["a", *names]).run(["a"]) == names


# 4 keep-alive and sink


def test_deleting_a_session_that_never_fired_ends_the_process() -> None:
    script = """
h.set_rulesets({'r': {'a': rule(keep, 'x'), 'sink': sink()}})
for i in range(200):
    h.assert_fact('r', fact('y', f's{i}')); h.delete_state('r', f's{i}')
print('alive')"""
    assert killed(script)


def test_ours_bears_sessions_in_which_no_rule_of_the_book_fires() -> None:
    found = guarded()
    assert [found.run(["a"]) for _ in range(300)] == [[]] * 300


def test_without_a_sink_a_derived_fact_that_nobody_reads_cuts_the_consequent_off() -> None:
    script = """
def derive(c):
    c.assert_fact({'n': 'd'}); hits.append(1)
h.set_rulesets({'r': {'a': rule(derive, 'x')}})
state = h.assert_fact('r', fact('x'))
print(len(hits), 'exception' in state)"""
    assert raw(script) == (0, "0 True")


# 5 consequents keep their own exceptions; each fact once


def test_it_swallows_what_a_consequent_raises() -> None:
    script = """
def bad(c): raise SystemExit('lost')
h.set_rulesets({'r': {'a': rule(bad, 'x')}})
print('exception' in h.assert_fact('r', fact('x')))"""
    assert raw(script) == (0, "True")


def test_deriving_a_fact_twice_is_an_error_without_our_own_set() -> None:
    script = """
def derive(c):
    c.assert_fact({'n': 'd'}); hits.append(1)
h.set_rulesets({'r': {'a': rule(derive, 'x'), 'b': rule(derive, 'y'), 'sink': sink()}})
h.assert_facts('r', [fact('x'), fact('y')])
print(len(hits))"""
    assert raw(script) == (0, "1")


def test_an_exception_noted_in_the_state_is_a_fault() -> None:
    checked({"sid": "s1"})
    checked(None)
    with pytest.raises(EngineFault, match="exception"):
        checked({"sid": "s1", "exception": "exception caught"})


def test_trouble_in_a_consequent_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    found = guarded()

    def broken(self: object, fact: object) -> None:
        raise RuntimeError("no")

    monkeypatch.setattr(engine.Closure, "assert_fact", broken)
    with pytest.raises(EngineFault, match="RuntimeError in a consequent"):
        found.run(["a", "b"])
    assert found.live == 0


def test_more_firings_than_rules_are_a_fault() -> None:
    session = Session(["a"], frozenset(), 2)
    for fact in ("b", "b", "c"):
        session.derive(fact, None)
    assert session.trace == ["b"]
    assert session.problem == "EngineFault in a consequent"


def test_ten_seconds_by_the_clock_lose_the_rules_after_them() -> None:
    script = """
now = [0]
engine._unix_now = lambda: now[0]
def slow(c):
    hits.append(1); now[0] += 11
h.set_rulesets({'r': {f'a{i}': rule(slow, 'x') for i in range(3)}})
state = h.assert_fact('r', fact('x'))
print(len(hits), state)"""
    assert raw(script) == (0, "1 0")


def test_a_clock_that_jumps_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    session = Session([], frozenset(), 9)
    monkeypatch.setattr(durable_guard.time, "time", lambda: 0.0)
    with pytest.raises(EngineFault, match="clock"):
        session.check_clock()
    session.derive("a", None)
    assert session.problem is not None


# 6 names


def test_it_takes_names_of_one_hash_for_the_same() -> None:
    script = """
h.set_rulesets({'r': {'a': {'all': [{'m': {'costarring': 1}}], 'run': hit}}})
h.assert_fact('r', {'liquid': 1, 'sid': 's1'})
print(len(hits))"""
    assert raw(script) == (0, "1")


def test_sessions_of_one_hash_share_their_facts() -> None:
    script = """
h.set_rulesets({'r': {'a': rule(keep, 'x')}})
h.assert_fact('r', fact('x', 'costarring'))
print(len(h.get_facts('r', 'liquid')))"""
    assert raw(script) == (0, "1")


def test_names_are_checked_when_the_rules_are_built() -> None:
    rules = [Derivation(("costarring",), "d")]
    with pytest.raises(ValueError, match="same hash"):
        guarded(rules, ["costarring", "d", "liquid"])
    with pytest.raises(ValueError, match="outside the list"):
        guarded(rules, ["costarring"])
    with pytest.raises(ValueError, match="reserved"):
        guarded([Derivation(("sid",), "d")], ["sid", "d"])


def test_facts_come_from_the_list_and_once() -> None:
    found = guarded()
    for facts in (["a", "liquid"], ["a", "a"], ["alive"], ["never"]):
        with pytest.raises(EngineFault, match="outside the list"):
            found.run(facts)


def test_no_two_sessions_share_a_name(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    whole = SyncHost.delete_state

    def noted(self: SyncHost, ruleset: str, sid: str) -> None:
        seen.append(sid)
        whole(self, ruleset, sid)

    monkeypatch.setattr(SyncHost, "delete_state", noted)
    for found in (guarded(), guarded()):
        for _ in range(5):
            found.run(["a"])
    assert len(seen) == len(set(seen)) == 10


# 7 batches


def test_an_empty_batch_ends_the_process() -> None:
    script = """
h.set_rulesets({'r': {'a': rule(keep, 'x')}})
h.assert_fact('r', fact('x'))
h.assert_facts('r', [])
print('alive')"""
    assert killed(script)


def test_ours_refuses_one() -> None:
    for batch in ([], [{}]):
        with pytest.raises(EngineFault, match="empty"):
            guarded().assert_facts("r", batch)


def test_it_drops_facts_after_one_that_it_cannot_read() -> None:
    script = """
h.set_rulesets({'r': {'a': rule(keep, 'x')}})
h.assert_facts('r', [fact('x'), fact('a', v=1e-05), fact('b')])
print(len(h.get_facts('r', 's1')))"""
    assert raw(script) == (0, "1")


def test_a_lost_fact_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    found = guarded()
    whole = SyncHost.assert_facts
    monkeypatch.setattr(SyncHost, "assert_facts", lambda self, r, facts: whole(self, r, facts[:-1]))
    with pytest.raises(EngineFault, match="another number of facts"):
        found.run(["a", "b"])


# 8 sessions


def test_too_many_sessions_are_an_error_without_the_guard() -> None:
    script = """
h.set_rulesets({'r': {'a': rule(keep, 'x'), 'sink': sink()}})
try:
    for i in range(1025): h.assert_fact('r', fact('x', f's{i}'))
except MemoryError: print('full')"""
    assert raw(script) == (0, "full")


def test_sessions_are_deleted_in_every_path(monkeypatch: pytest.MonkeyPatch) -> None:
    found = guarded()
    for _ in range(1_100):
        found.run(["a"])

    def failing(self: SyncHost, ruleset: str, sid: str) -> list[object]:
        raise RuntimeError("no")

    monkeypatch.setattr(SyncHost, "get_facts", failing)
    for _ in range(1_100):
        with pytest.raises(EngineFault, match="RuntimeError from the engine"):
            found.run(["a"])
    assert found.live == 0


def test_the_number_of_sessions_is_bounded() -> None:
    found = guarded()
    found.live = durable_guard.MAX_SESSIONS
    with pytest.raises(EngineFault, match="too many sessions"):
        found.run(["a"])
