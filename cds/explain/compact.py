"""The short form of an advice: what decides or holds; the rest is had with `detail=full`.

Left out: quiet inputs of the chain that no step cites, open rules that hold nothing, why-not
entries
of rungs beyond the next one, and the long lists of answers. The chain of a compact advice cannot be
re-derived on its own; the full one can.
"""

from __future__ import annotations

from cds.vocabulary.advice import Advice, Chain, Limit


def compact(advice: Advice) -> Advice:
    """A smaller copy of a full advice; the given one is not changed."""
    short: Advice = {**advice, "detail": "compact"}
    short["chain"] = _chain(advice["chain"])
    short["limits"] = [
        limit for limit in advice["limits"] if limit["group"] == "hands_on" or _lowered(limit)
    ]
    nearest: dict[str, str] = {}
    for entry in advice["why_not"]:
        nearest.setdefault(entry["level"], entry["rung"])
    short["why_not"] = [e for e in advice["why_not"] if nearest[e["level"]] == e["rung"]]
    return short


def _lowered(limit: Limit) -> bool:
    most = limit["most"]
    return bool(most["now"] != most["least_careful"] or limit["contraindications"])


def _chain(chain: Chain) -> Chain:
    cited = {t["input"] for s in chain["steps"] for t in s["tests"] if "input" in t}
    return {
        **chain,
        "inputs": [entry for entry in chain["inputs"] if entry["name"] in cited],
        "open": [entry for entry in chain["open"] if entry["holds"]],
    }
