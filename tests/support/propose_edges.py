"""Proposes edge cases for a rule: a tool for whoever writes `fixtures/edges/`.

`python -m tests.support.propose_edges RULE_ID [RULE_ID …]` or `… FILE.yaml`. From the bases it
searches a small overlay that fires the rule, one change by one step that makes it false, and one
answer taken away that leaves it open. It prints entries; a person reads each against the words and
the source of its rule before it is kept.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import cache
from heapq import heappop, heappush
from itertools import count
from typing import Any

from cds.engine.chainer import Run
from cds.problems import CaseError
from cds.rulebook.book import Phase
from cds.rulebook.program import GateNode, Instance, LeafNode, Program
from cds.vocabulary.values import Tri
from tests.support.edge_steps import changes
from tests.support.edges import rules_of, run_of, state
from tests.support.fixtures import base, decider, laid_over
from tests.support.propose_steps import from_step, openings, toward

Overlay = dict[str, Any]

STARTS: tuple[tuple[str, Overlay], ...] = (
    ("first-visit", {}),
    ("first-visit", {"answers": {"leg_symptoms": "above_knee", "leg_side": "left",
                                 "leg_kind": "referred", "leg_trend": "unchanged",
                                 "straight_leg_raise": "negative"}}),
    ("first-visit", {"patient": {"age": 64, "sex": "female"}, "answers": {"pregnancy": "no"}}),
    ("sixth-visit", {}),
    ("fourth-visit", {}),
    ("second-visit", {}),
    ("first-visit", {"answers": {"new_trauma": "strain", "midline_tenderness": "no"}}),
    ("first-visit", {"answers": {"new_trauma": "minor_fall", "midline_tenderness": "no",
                                 "contusion": "no"}}),
    ("first-visit", {"answers": {"steroid_use": "systemic", "steroid_dose": 2,
                                 "steroid_days": 60, "steroid_year_total": 0.5}}),
    ("sixth-visit", {"moment": "during_session", "today": {"steps": [
        {"rung": "mobilization_3", "level": "L5", "guarding": "none", "pain": 2, "spread": "none",
         "new_sign": "no"}]}}),
    ("second-visit", {"moment": "contact"}),
)  # fmt: skip
"""What a search starts from: a base, and what is the same in all three cases."""
DEEP = 4
WIDE = 400


def cost(program: Program, run: Run, instance: Instance) -> tuple[int, list[LeafNode]]:
    """How many leaves are in the way of the instance, and which."""
    leaves, gates = _network(program.digest)
    seen: dict[int, tuple[int, tuple[int, ...]]] = {}

    def way(literal: int, depth: int = 0) -> tuple[int, tuple[int, ...]]:
        if literal in seen:
            return seen[literal]
        now = run.node_state(literal)
        if now is Tri.TRUE:
            found: tuple[int, tuple[int, ...]] = (0, ())
        else:
            node = literal if literal >= 0 else ~literal
            if node in leaves:
                found = (1, (node,))
            else:
                gate = gates[node]
                if literal >= 0:
                    members, need = gate.members, gate.need
                else:
                    members = tuple(~member for member in gate.members)
                    need = len(members) - gate.need + 1
                ways = sorted(way(member, depth + 1) for member in members)
                if need > len(ways):
                    found = (99, ())
                else:
                    total = sum(w[0] for w in ways[:need])
                    # every way that is not hopeless, so that the search may choose
                    nodes = {node for w in ways if w[0] < 99 for node in w[1]}
                    found = (total, tuple(sorted(nodes)))
        seen[literal] = found
        return found

    total, nodes = way(instance.root)
    return total, [leaves[node] for node in nodes]


@cache
def _network(digest: str) -> tuple[dict[int, LeafNode], dict[int, GateNode]]:
    """Leaves and gates by node, of a program that has been met before."""
    program = _MET[digest]
    return (
        {leaf.node: leaf for leaf in program.leaves},
        {gate.node: gate for gate in program.gates},
    )


def reached(program: Program, rule: str) -> frozenset[str]:
    """Names of the findings and features that the rule stands on, through conclusions too."""
    leaves, gates = _network(program.digest)
    todo = [instance.root for instance in program.instances if instance.rule == rule]
    seen: set[int] = set()
    while todo:
        node = todo.pop()
        node = node if node >= 0 else ~node
        if node not in seen:
            seen.add(node)
            todo += gates[node].members if node in gates else ()
    names = {leaves[node].input.partition("@")[0] for node in seen if node in leaves}
    names |= {
        read for name in names if name in program.features for read in program.features[name].reads
    }
    return frozenset(names)


_MET: dict[str, Program] = {}


def merged(under: Overlay, over: Overlay) -> Overlay:
    """Two overlays as one."""
    found = dict(under)
    for key, value in over.items():
        below = found.get(key)
        if isinstance(value, dict) and isinstance(below, dict) and "value" not in value:
            found[key] = merged(below, value)
        elif isinstance(value, dict) and set(value) == {"last"} and isinstance(below, list):
            found[key] = laid_over({key: below}, {key: value})[key]
        else:
            found[key] = value
    return found


def firing(rule: str, under: Overlay, policy: Overlay) -> Iterator[Overlay]:
    """Overlays on `under` that fire the rule, smallest first."""
    program = decider(policy).program
    prepare = program.rules[rule].phase is Phase.PREPARE
    queue: list[tuple[int, int, int, Overlay]] = [(0, 0, 0, {})]
    number, tried, done = count(1), 0, set()
    while queue and tried < WIDE:
        _, depth, _, overlay = heappop(queue)
        try:
            run = run_of(laid_over(under, overlay), policy, prepare)
        except (CaseError, IndexError):
            continue
        tried += 1
        listed = [i for i in program.instances if i.rule == rule and i.level in (None, *run.levels)]
        costs = [cost(program, run, instance) for instance in listed]
        if any(total == 0 for total, _ in costs):
            yield overlay
            continue
        if depth == DEEP:
            continue
        for total, leaves in costs:
            if total >= 99:
                continue
            for leaf in leaves:
                for atom in toward(program, leaf):
                    following = merged(overlay, atom)
                    if str(following) not in done:
                        done.add(str(following))
                        heappush(queue, (total + depth, depth + 1, next(number), following))


def propose(rule: str, policy: Overlay | None = None) -> str:
    """A YAML entry, or a comment that says what was not found."""
    policy = policy or {}
    deciding = decider(policy)
    _MET[deciding.program.digest] = deciding.program
    relevant = reached(deciding.program, rule)
    best: tuple[int, str] | None = None
    for place, (name, common) in enumerate(STARTS):
        under = laid_over(base(name), common)
        for overlay, _ in zip(firing(rule, under, policy), range(6), strict=False):
            data = laid_over(under, overlay)
            side = other = None
            for change in from_step(deciding.program, data, relevant):
                moved = laid_over(data, change)
                try:
                    if state(rule, moved, policy) != "false":
                        continue
                    found = changes(deciding.vocabulary, data, moved)
                except (CaseError, IndexError):
                    continue
                if len(found) == 1 and found[0].steps in (None, 1):
                    # a boundary on a scale is worth more than one between two words
                    if side is None or (found[0].steps == 1 and side[1].steps is None):
                        side = (merged(overlay, change), found[0])
                    if side[1].steps == 1:
                        break
            for change in openings(data, side[1].where if side else ""):
                try:
                    if state(rule, laid_over(data, change), policy) == "open":
                        other = merged(overlay, change)
                        break
                except (CaseError, IndexError):
                    continue
            lacks = 100 * (side is None) + 100 * (other is None)
            score = lacks + _size(overlay) + _size(common) // 2 + place // 4
            if side is not None and side[1].steps == 1:
                score -= 5
            if best is None or score < best[0]:
                best = (score, _entry(rule, name, common, overlay, side, other, policy))
        if best is not None and best[0] < 8:
            break
    return best[1] if best else f"  # {rule}: nothing found that fires it\n"


def _size(overlay: Any) -> int:
    """How many answers and fields an overlay names."""
    if isinstance(overlay, dict):
        return sum(_size(value) for value in overlay.values())
    return sum(map(_size, overlay)) if isinstance(overlay, list) else 1


def _entry(
    rule: str, name: str, common: Overlay, fires: Overlay, side: Any, other: Any, policy: Overlay
) -> str:
    lines = [f"  - rule: {rule}", f"    why: {side[1].where if side else 'NO OTHER SIDE FOUND'}"]
    if name != "first-visit":
        lines.append(f"    base: {name}")
    if policy:
        lines.append(f"    policy: {flow(policy)}")
    if common:
        lines.append(f"    with: {flow(common)}")
    lines.append(f"    fires: {flow(fires)}")
    lines.append(f"    open: {flow(other)}" if other is not None else "    never_open: TODO")
    lines.append(f"    other_side: {flow(side[0])}" if side else "    never_false: TODO")
    return "\n".join(lines) + "\n"


def flow(value: Any) -> str:
    """Plain data on one line of YAML."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {flow(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(inner) for inner in value) + "]"
    return "null" if value is None else f'"{value}"' if value in ("off", "on") else str(value)


def main(names: list[str]) -> None:
    """Prints an entry for each rule, or for each rule of a rule file."""
    for name in names:
        for rule in rules_of(name.removesuffix(".yaml")) if name.endswith(".yaml") else [name]:
            print(propose(rule), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
