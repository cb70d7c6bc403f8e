"""Why: the shortest account that is enough for an advice, and the graph it is taken from.

The chain of an advice says everything that fired; most of it does not decide. `account` picks the
steps that carry the headline (`claim`), and for each what it rests on, down to what was recorded.
With nothing else fired, they conclude at least as much as the headline says; without one of them
and what rests on it, they do not.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypedDict

from cds.engine.path import Resolver
from cds.explain.claim import Claim, Wanted, claim_of
from cds.explain.sayings import conclusion_texts, fact_text
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, ChainInput, ChainStep


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
    """What the headline says, the reasons that are enough for it, and their graph.

    `absent`: what the headline rests on that no rule concluded, in sentences. Either list may be
    empty, never both.
    """

    about: str
    absent: list[str]
    reasons: list[Reason]
    graph: Graph


def account(program: Program, resolver: Resolver, advice: Advice) -> Account:
    """The shortest sufficient account of a full advice."""
    claim = claim_of(program, resolver, advice)
    steps = {step["number"]: step for step in advice["chain"]["steps"]}
    below = {number: rests_on(step) for number, step in steps.items()}
    roots: list[int] = []
    for wanted in claim.wanted:
        for found in _able(wanted, steps, below)[: 1 if wanted.one else None]:
            if found not in roots:
                roots.append(found)
    members = _least(claim, steps, below, roots)
    inputs = {entry["name"]: entry for entry in advice["chain"]["inputs"]}
    return {
        "about": advice["headline"]["text"],
        "absent": claim.absent,
        "reasons": [
            reason(program, steps[number], inputs, [n for n in below[number] if n in members])
            for number in members
        ],
        "graph": graph(program, advice, members),
    }


def _least(
    claim: Claim, steps: dict[int, ChainStep], below: dict[int, list[int]], roots: list[int]
) -> list[int]:
    """As few of the steps under these roots as still say what the headline says.

    A step goes with all that rest on it. The last are tried first, until none can go.
    """
    kept = sorted(_closure(roots, below))
    tried = True
    while tried:
        tried = False
        for step in reversed(kept):
            gone = {step}
            for number in kept:  # in order: what rests on a step comes after it
                if gone & set(below[number]):
                    gone.add(number)
            fewer = [number for number in kept if number not in gone]
            if claim.holds(steps[number] for number in fewer):
                kept, tried = fewer, True
                break
    return kept


def rests_on(step: ChainStep) -> list[int]:
    """The earlier steps that a step cites."""
    return sorted({number for test in step["tests"] for number in test.get("steps", ())})


def reason(
    program: Program, step: ChainStep, inputs: dict[str, ChainInput], under: list[int]
) -> Reason:
    """One step as a sentence: what it says, and what it rests on."""
    facts = list(dict.fromkeys(fact_text(program, test, inputs) for test in step["tests"]))
    said = conclusion_texts(program, [(c["slot"], c["value"]) for c in step["conclusions"]])
    title = step["title"].casefold()
    said = [text for text in said if text.casefold() != title]
    facts = [text for text in facts if text.casefold() not in (title, f"{title}: yes")]
    begin = step["title"] if step["status"] == "fired" else f"{step['title']}, not ruled out"
    sentence = f"{begin}."
    if facts:
        sentence += f" {_capital('; '.join(facts))}."
    if said:
        lead = "So" if step["status"] == "fired" else "Until it is answered"
        sentence += f" {lead}: {'; '.join(said)}."
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


def _able(wanted: Wanted, steps: dict[int, ChainStep], below: dict[int, list[int]]) -> list[int]:
    """The steps that conclude it: fired ones before held ones, then by how little they rest on."""
    able = [
        number
        for number, step in steps.items()
        if (wanted.held or step["status"] == "fired")
        and any(
            c["slot"] == wanted.slot and c["value"] == wanted.value for c in step["conclusions"]
        )
    ]
    return sorted(able, key=lambda n: (steps[n]["status"] != "fired", len(_closure([n], below)), n))


def _closure(roots: Iterable[int], below: dict[int, list[int]]) -> set[int]:
    found: set[int] = set()
    todo = list(roots)
    while todo:
        number = todo.pop()
        if number not in found:
            found.add(number)
            todo.extend(below[number])
    return found


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
