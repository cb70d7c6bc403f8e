"""The child process that holds the engine: one JSON line in, one out.

`{"load": [[[[need, …], gives], …], …], "names": [fact, …]}` builds rulesets and answers
`{"ready": number}`; `{"facts": [fact, …]}` answers `{"found": [fact, …]}`. Anything wrong answers
`{"problem": text}` and ends the process. Lines carry made-up names of facts, no value of a case.
"""

from __future__ import annotations

import json
import sys
from typing import Any, TextIO

from cds.engine.durable_guard import EngineFault, GuardedEngine
from cds.engine.durable_rails import Derivation
from cds.engine.durable_strata import Stratum


def serve(source: TextIO, sink: TextIO) -> int:
    """Answers until the input ends (0) or something is wrong (1)."""
    engine: GuardedEngine | None = None
    for line in source:
        try:
            asked = json.loads(line)
            if "load" in asked:
                engine = GuardedEngine([_stratum(found) for found in asked["load"]], asked["names"])
                answer: dict[str, Any] = {"ready": len(engine.strata)}
            elif engine is None:
                raise EngineFault("no rules are loaded")
            else:
                answer = {"found": engine.run(asked["facts"])}
        except Exception as error:  # reported, then the process ends: nothing is trusted after it
            text = str(error) if isinstance(error, EngineFault | ValueError) else ""
            _say(sink, {"problem": f"{type(error).__name__} {text}".strip()})
            return 1
        _say(sink, answer)
    return 0


def _stratum(rules: list[tuple[list[str], str]]) -> Stratum:
    made = tuple(Derivation(tuple(needs), gives) for needs, gives in rules)
    return Stratum(made, tuple(dict.fromkeys(need for rule in made for need in rule.needs)))


def _say(sink: TextIO, answer: dict[str, Any]) -> None:
    sink.write(json.dumps(answer, separators=(",", ":")) + "\n")
    sink.flush()


if __name__ == "__main__":
    raise SystemExit(serve(sys.stdin, sys.stdout))
