"""`featheredge advise CASE --questions` and `--session-table`: the case decided again, in words."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import orjson

from cds.cli import exits
from cds.cli.casefile import read_case_data
from cds.decide import Decider
from cds.problems import CaseError, RuleBookError
from cds.rulebook.vetting import load_program
from cds.service.rethinking import QuestionsAnswer, TableAnswer, questions, table


def run(name: str, rules: Path, session_table: bool, as_json: bool) -> int:
    """Read, decide again, print; returns an exit code of `cds.cli.exits`."""
    try:
        decider = Decider(load_program(rules))
    except RuleBookError as error:
        print(f"The rule book at {rules} does not load: {error}.", file=sys.stderr)
        return exits.NO_RULES
    try:
        body = {"case": read_case_data(name)}
        found: TableAnswer | QuestionsAnswer
        if session_table:
            found = at_table = table(decider, body)
            lines = table_lines(at_table)
        else:
            found = asked = questions(decider, body)
            lines = question_lines(asked)
    except OSError as error:
        print(f"{name}: {error.strerror or 'cannot be read'}", file=sys.stderr)
        return exits.UNREADABLE
    except CaseError as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
        print(f"{len(error.problems)} problem(s); nothing was assessed.", file=sys.stderr)
        return exits.REFUSED
    if as_json:
        sys.stdout.buffer.write(orjson.dumps(found, option=orjson.OPT_INDENT_2) + b"\n")
        sys.stdout.flush()
    else:
        print("\n".join(lines))
    return exits.OK


def question_lines(found: QuestionsAnswer) -> Iterator[str]:
    """Effects of answers, what would settle the visit, what stays."""
    for question in found["questions"]:
        yield f"{question['title']}{' (owed)' if question['owed'] else ''}"
        for answer in question["answers"]:
            said = "; ".join(answer["changes"]) or "nothing changes by this answer alone"
            yield f"  if {answer['if_answered']}: {said}"
        if not question["answers"]:
            yield "  cannot be answered here"
    settle = found["settle"]
    yield ""
    yield settle["note"]
    for answered in settle["answers"]:
        yield f"  {answered['title']}: {answered['answer']}"
    if settle["answers"] and not settle["proved"]:
        yield f"  a smaller set may do; at least {settle['at_least']} of them in any case"
    for first in settle["first"]:
        yield f"  first: {first}"
    stays = found["unmoved"]
    yield ""
    yield stays["note"]
    for referral in stays["referrals"]:
        yield f"  referral to {referral['title']}, {referral['urgency'].replace('_', ' ')}"
    for entry in stays["shut"]:
        rules = f" ({', '.join(entry['rules'])})" if entry["rules"] else ""
        yield f"  {entry['level']}, {entry['rung'].replace('_', ' ')}: {entry['text']}{rules}"


def table_lines(found: TableAnswer) -> Iterator[str]:
    """One line for each branch of each row."""
    rows = found["table"]["rows"]
    yield found["table"]["headline"]
    for row in rows:
        yield f"{row['level']}, {row['title']}"
        for branch in row["branches"]:
            yield f"  {branch['title']}: {branch['text']}"
    yield found["table"]["note"]
