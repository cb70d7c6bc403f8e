"""`featheredge vet`: every check of a rule book, each problem with its line and a marker."""

from __future__ import annotations

import sys
from pathlib import Path

import orjson

from cds.assure.report.page import report
from cds.cli import exits
from cds.problems import has_errors
from cds.rulebook.printing import print_problems, problems_json
from cds.rulebook.vetting import vet_folder


def run(rules: Path, as_json: bool, page: Path | None = None) -> int:
    """Print all problems; 0 when none is an error, 1 otherwise, 4 when there is no such folder.

    `page`: a file for the rule book in plain words, written only when no check found an error; 4
    when it cannot be written.
    """
    if not rules.is_dir():
        print(f"{rules}: no such folder", file=sys.stderr)
        return exits.UNREADABLE
    vetted = vet_folder(rules)
    failed = has_errors(vetted.problems)
    if page is not None and vetted.program is not None and not failed:
        try:
            page.write_text(report(vetted.program), encoding="utf-8", newline="\n")
        except OSError as error:
            print(f"{page}: cannot be written: {error.strerror}", file=sys.stderr)
            return exits.UNREADABLE
    if as_json:
        result = {
            "rules": str(rules),
            "ok": not failed,
            "edition": vetted.program.digest if vetted.program else None,
            "problems": problems_json(vetted.problems),
        }
        sys.stdout.buffer.write(orjson.dumps(result, option=orjson.OPT_INDENT_2) + b"\n")
        sys.stdout.flush()
        return exits.REFUSED if failed else exits.OK
    if vetted.problems:
        print(print_problems(vetted.problems, vetted.texts))
    program = vetted.program
    if program is None:
        print(f"{len(vetted.problems)} problem(s). The rule book was refused.")
        return exits.REFUSED
    print(
        f"{program.title}: {len(program.rules)} rules, {len(program.findings)} findings, "
        f"{len(program.cards)} cards, {len(program.exercises)} exercises, "
        f"{len(program.sources)} sources."
    )
    print(f"Edition {program.digest}")
    if failed:
        print("The rule book was refused.")
        return exits.REFUSED
    if page is not None:
        print(f"Report written to {page}")
    print("Every check passed." if not vetted.problems else "Passed, with warnings.")
    return exits.OK
