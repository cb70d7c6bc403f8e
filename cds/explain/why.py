"""Why: the shortest account that is enough for an advice, and the graph it is taken from.

The chain of an advice says everything that fired; most of it does not decide. `account` picks the
steps that carry the headline, and for each what it rests on, down to what was recorded: of several
steps that would do, the one that rests on the fewest others. The steps it names, with nothing else
fired, conclude at least as much as the headline says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypedDict

from cds.explain.sayings import conclusion_texts, fact_text
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, ChainInput, ChainStep, Limit, Path
from cds.vocabulary.model import CARE


class Reason(TypedDict):
    """One step of the account. `step` is its number in the chain, `rests_on` earlier ones of it."""

    step: int
    rule: str
    title: str
    sentence: str
    because: str
    status: str
    rests_on: list[int]


class Node(TypedDict):
    """A step or an input of the graph. `depth` 0: an input."""

    id: str
    kind: str
    text: str
    depth: int


class Graph(TypedDict):
    """What rests on what: edges lead from what is rested on to what rests on it."""

    nodes: list[Node]
    edges: list[tuple[str, str]]


class Account(TypedDict):
    """What the headline says, the reasons that are enough for it, and their graph."""

    about: str
    reasons: list[Reason]
    graph: Graph


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A slot and the value that has to be concluded for it. `held`: a hold may say it too."""

    slot: str
    value: str
    held: bool = True


def account(program: Program, advice: Advice) -> Account:
    """The shortest sufficient account of a full advice."""
    steps = {step["number"]: step for step in advice["chain"]["steps"]}
    below = {number: rests_on(step) for number, step in steps.items()}
    roots: list[int] = []
    for wanted in _wanted(program, advice):
        found = _best(wanted, steps, below)
        if found is not None and found not in roots:
            roots.append(found)
    members = sorted(_closure(roots, below))
    inputs = {entry["name"]: entry for entry in advice["chain"]["inputs"]}
    return {
        "about": advice["headline"]["text"],
        "reasons": [
            reason(program, steps[number], inputs, [n for n in below[number] if n in members])
            for number in members
        ],
        "graph": graph(program, advice, members),
    }


def rests_on(step: ChainStep) -> list[int]:
    """The earlier steps that a step cites."""
    return sorted({number for test in step["tests"] for number in test.get("steps", ())})


def reason(
    program: Program, step: ChainStep, inputs: dict[str, ChainInput], under: list[int]
) -> Reason:
    """One step as a sentence: what it says, and what it rests on."""
    facts = [fact_text(program, test, inputs) for test in step["tests"]]
    said = conclusion_texts(program, [(c["slot"], c["value"]) for c in step["conclusions"]])
    end = f". So {_and(said)}." if said else "."
    begin = step["title"] if step["status"] == "fired" else f"{step['title']}, not ruled out"
    sentence = f"{begin}: {_and(facts)}{end}" if facts else f"{begin}{end}"
    return {
        "step": step["number"],
        "rule": step["rule"],
        "title": step["title"],
        "sentence": sentence,
        "because": step["because"],
        "status": step["status"],
        "rests_on": under,
    }


def graph(program: Program, advice: Advice, members: Iterable[int]) -> Graph:
    """These steps, the inputs they cite, and what rests on what."""
    chosen = set(members)
    inputs = {entry["name"]: entry for entry in advice["chain"]["inputs"]}
    nodes: dict[str, Node] = {}
    edges: list[tuple[str, str]] = []
    depth: dict[int, int] = {}
    for step in advice["chain"]["steps"]:
        number = step["number"]
        if number not in chosen:
            continue
        own = [n for n in rests_on(step) if n in chosen]
        depth[number] = 1 + max((depth[n] for n in own), default=0)
        for test in step["tests"]:
            name = test.get("input")
            if name is None:
                continue
            key = f"i:{name}"
            text = fact_text(program, test, inputs)
            nodes.setdefault(key, {"id": key, "kind": "input", "text": text, "depth": 0})
            if (key, f"s:{number}") not in edges:
                edges.append((key, f"s:{number}"))
        kind = "fired" if step["status"] == "fired" else "held"
        nodes[f"s:{number}"] = {
            "id": f"s:{number}", "kind": kind, "text": step["title"], "depth": depth[number],
        }  # fmt: skip
        edges.extend((f"s:{n}", f"s:{number}") for n in own)
    return {"nodes": list(nodes.values()), "edges": edges}


def _families(program: Program, path: Path) -> list[str]:
    """The families that have a rung in the path."""
    rungs = {step["rung"] for step in path["steps"]}
    families = program.ladder.of_group("hands_on")
    return [f.name for f in families if rungs & {rung for rung, _ in f.rungs}]


def _wanted(program: Program, advice: Advice) -> list[_Wanted]:
    """What has to be concluded for the headline, the gravest first."""
    kind = advice["headline"]["kind"]
    found: list[_Wanted] = []
    if kind in ("emergency", "refer"):
        urgency = _gravest(advice)
        for referral in advice["referrals"]:
            if referral["urgency"]["least_careful"] == urgency:
                found.append(_Wanted(f"referral.{referral['to']}", urgency, held=False))
        for concern in advice["concerns"]:
            level = concern["level"]["least_careful"]
            if level in ("high", "emergency"):
                found.append(_Wanted(f"concern.{concern['condition']}", level, held=False))
        return found
    if kind in ("no_hands_on", "not_settled"):
        if advice["care_today"]["now"] == CARE[-1]:
            found.append(_Wanted("care_today", CARE[-1], held=kind == "not_settled"))
        found.extend(_bars(advice["limits"], held=kind == "not_settled"))
        return found
    for segment in advice["segments"]:
        if not segment["treat_today"]:
            continue
        level, path = segment["level"], segment["path"]
        for family in _families(program, path):
            found.append(_Wanted(f"indication.{family}@{level}", "yes"))
        for slot in ("target", f"target@{level}"):
            found.append(_Wanted(slot, path["target"]))
    for entry in advice["limits"]:
        if entry["group"] == "hands_on":
            found.append(_limit(entry))
    return found


def _gravest(advice: Advice) -> str:
    order = ("none", "routine", "urgent", "same_day", "emergency")
    words = [referral["urgency"]["least_careful"] for referral in advice["referrals"]]
    return max(words, key=order.index, default="none")


def _bars(limits: list[Limit], *, held: bool) -> list[_Wanted]:
    """The bars on families of technique; `held`: those that only a hold makes count too."""
    return [
        _Wanted(_limit(entry).slot, "barred", held=held)
        for entry in limits
        if entry["group"] == "hands_on"
        and (entry["most"]["now"] if held else entry["most"]["least_careful"]) == "barred"
    ]


def _limit(entry: Limit) -> _Wanted:
    level = entry.get("level")
    slot = f"limit.{entry['family']}" + (f"@{level}" if level else "")
    return _Wanted(slot, entry["most"]["now"])


def _best(wanted: _Wanted, steps: dict[int, ChainStep], below: dict[int, list[int]]) -> int | None:
    """The step that concludes it and rests on the fewest others; fired ones before held ones."""
    able = [
        number
        for number, step in steps.items()
        if (wanted.held or step["status"] == "fired")
        and any(
            c["slot"] == wanted.slot and c["value"] == wanted.value for c in step["conclusions"]
        )
    ]
    return min(
        able,
        key=lambda n: (steps[n]["status"] != "fired", len(_closure([n], below)), n),
        default=None,
    )


def _closure(roots: Iterable[int], below: dict[int, list[int]]) -> set[int]:
    found: set[int] = set()
    todo = list(roots)
    while todo:
        number = todo.pop()
        if number not in found:
            found.add(number)
            todo.extend(below[number])
    return found


def _and(texts: list[str]) -> str:
    unique = list(dict.fromkeys(texts))
    if len(unique) < 2:
        return "".join(unique)
    return f"{', '.join(unique[:-1])} and {unique[-1]}"
