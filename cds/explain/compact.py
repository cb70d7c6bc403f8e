"""The short form of an advice: what decides or holds; the rest is had with `detail=full`.

Left out: numbers of the information (a number without its weaknesses would mislead), steps of open
rules (they stay listed under `chain.open` with what they hold, and grouped by question under
`open_questions`), chain inputs that no step cites, open rules that hold nothing, holders of a limit
that do not bind, why-not entries beyond the next rung, and the lists of missing answers that no
open question names. The chain of a compact advice cannot be re-derived on its own; the full one
can.
"""

from __future__ import annotations

from cds.vocabulary.advice import Advice, Chain, Holder, Limit


def compact(advice: Advice) -> Advice:
    """A smaller copy of a full advice; the given one is not changed."""
    short: Advice = {**advice, "detail": "compact"}
    short["information"] = [
        {"id": entry["id"], "title": entry["title"]} for entry in advice["information"]
    ]
    short["chain"] = _chain(advice["chain"])
    short["limits"] = [_limit(limit) for limit in advice["limits"]]
    nearest: dict[str, str] = {}
    for entry in advice["why_not"]:
        nearest.setdefault(entry["level"], entry["rung"])
    short["why_not"] = [e for e in advice["why_not"] if nearest[e["level"]] == e["rung"]]
    asked = {
        f"{q['finding']}@{q['level']}" if "level" in q else q["finding"]
        for q in advice["open_questions"]
    }
    missing = [entry for entry in advice["answers"]["missing"] if entry["finding"] in asked]
    short["answers"] = {**advice["answers"], "missing": missing}
    cited = {source for step in short["chain"]["steps"] for source in step["sources"]}
    carded = {
        e
        for s in advice["segments"]
        for c in [*s["cards"], *s["alternatives"]]
        for e in c["evidence"]
    }
    homed = {e for exercise in advice["home"] for e in exercise["evidence"]}
    short["sources"] = [
        source
        for source in advice["sources"]
        if source["id"] in cited or any(_rests_on(e, source["id"]) for e in carded | homed)
    ]
    return short


def _rests_on(evidence: str, source: str) -> bool:
    """Whether the words of one piece of evidence begin with this source's id, and no longer one."""
    return evidence == source or evidence.startswith((f"{source}, ", f"{source} ("))


def _limit(limit: Limit) -> Limit:
    def binding(holders: list[Holder]) -> list[Holder]:
        return [holder for holder in holders if holder["binding"]]

    return {
        **limit,
        "contraindications": binding(limit["contraindications"]),
        "policy": binding(limit["policy"]),
        "others": binding(limit["others"]),
    }


def _chain(chain: Chain) -> Chain:
    fired = [step for step in chain["steps"] if step["status"] == "fired"]
    cited = {t["input"] for s in fired for t in s["tests"] if "input" in t}
    return {
        **chain,
        "steps": fired,
        "inputs": [entry for entry in chain["inputs"] if entry["name"] in cited],
        "open": [entry for entry in chain["open"] if entry["holds"]],
    }
