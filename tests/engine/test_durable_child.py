"""The child's lines: one in, one out; anything wrong is said and ends it."""

from __future__ import annotations

import json
from io import StringIO
from typing import Any

import pytest

from tests.support.optional import require

require("durable")

from cds.engine.durable_child import serve  # noqa: E402

LOAD = {"load": [[[["a", "b"], "d"]], [[["d"], "f"]]], "names": ["a", "b", "d", "f"]}


def said(*lines: object) -> tuple[int, list[dict[str, Any]]]:
    source = StringIO("".join(f"{json.dumps(line)}\n" for line in lines))
    sink = StringIO()
    code = serve(source, sink)
    return code, [json.loads(line) for line in sink.getvalue().splitlines()]


def test_it_loads_and_answers_until_the_input_ends() -> None:
    code, answers = said(LOAD, {"facts": ["a", "b"]}, {"facts": ["a"]})
    assert code == 0
    assert answers == [{"ready": 2}, {"found": ["d", "f"]}, {"found": []}]


def test_other_rules_may_follow() -> None:
    other = {"load": [[[["a"], "f"]]], "names": ["a", "f"]}
    code, answers = said(LOAD, {"facts": ["a"]}, other, {"facts": ["a"]})
    assert (code, answers[1], answers[3]) == (0, {"found": []}, {"found": ["f"]})


@pytest.mark.parametrize(
    ("lines", "problem"),
    [
        ([{"facts": ["a"]}], "EngineFault no rules are loaded"),
        ([{"load": [[[[], "d"]]], "names": ["d"]}], "ValueError a stratum does|ValueError a rule"),
        ([{"load": LOAD["load"], "names": ["a"]}], "ValueError a rule names"),
        ([LOAD, {"facts": ["secret"]}], "EngineFault a fact outside the list"),
        ([LOAD, {}], "KeyError$"),
        ([7], "TypeError$"),
    ],
)
def test_what_is_wrong_is_said_and_ends_it(lines: list[object], problem: str) -> None:
    code, answers = said(*lines, LOAD)
    assert code == 1
    assert len(answers) == len(lines)
    found = answers[-1]["problem"]
    assert any(found.startswith(part.rstrip("$")) for part in problem.split("|"))
    assert "secret" not in found


def test_a_line_that_is_no_json() -> None:
    sink = StringIO()
    assert serve(StringIO("nonsense\n"), sink) == 1
    assert "JSONDecodeError" in sink.getvalue()
