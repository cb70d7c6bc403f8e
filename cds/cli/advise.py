"""`featheredge advise CASE`: one case in, the advice out, for a person or as JSON."""

from __future__ import annotations

import sys
from pathlib import Path

import orjson
from rich.console import Console

from cds.cli import exits
from cds.cli.casefile import read_case_data
from cds.cli.render import Paper, render
from cds.decide import Decider
from cds.explain.compact import compact
from cds.problems import CaseError, RuleBookError
from cds.rulebook.vetting import load_program
from cds.vocabulary.reading import read_case


def run(
    name: str, rules: Path, as_json: bool, full: bool, exit_status: bool, out: Console | None = None
) -> int:
    """Read, decide, print; returns an exit code of `cds.cli.exits`."""
    try:
        program = load_program(rules)
    except RuleBookError as error:
        print(
            f"The rule book at {rules} does not load: {error}. "
            f"`featheredge vet --rules {rules}` shows them.",
            file=sys.stderr,
        )
        return exits.NO_RULES
    decider = Decider(program)
    try:
        case = read_case(decider.vocabulary, read_case_data(name))
    except OSError as error:
        print(f"{name}: {error.strerror or 'cannot be read'}", file=sys.stderr)
        return exits.UNREADABLE
    except CaseError as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
        print(f"{len(error.problems)} problem(s); no advice was given.", file=sys.stderr)
        return exits.REFUSED
    advice = decider.decide(case)
    if as_json:
        chosen = advice if full else compact(advice)
        sys.stdout.buffer.write(orjson.dumps(chosen, option=orjson.OPT_INDENT_2) + b"\n")
        sys.stdout.flush()
    else:
        render(advice, out or Paper(highlight=False))
    if exit_status:
        return {"stopped": exits.STOPPED, "ask_first": exits.ASK_FIRST}.get(
            advice["status"], exits.OK
        )
    return exits.OK
