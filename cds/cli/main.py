"""The command line: verbs, options and the table of exit codes."""

from __future__ import annotations

import argparse
import importlib
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path

import cds
from cds.assure.burden.population import VISITS, visits
from cds.cli import exits
from cds.settings import RulesNotFoundError, SettingsError, find_rules, read_settings

DESCRIPTION = (
    "Decision support for staged manual treatment of the spine, for a licensed professional, "
    "who decides. Not for emergencies. Local codes and licensed practice go first."
)


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    codes = "\n".join(f"  {code:>3}  {meaning}" for code, meaning in exits.TABLE)
    top = argparse.ArgumentParser(
        prog="featheredge",
        description=DESCRIPTION,
        epilog=f"exit codes:\n{codes}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"featheredge {cds.__version__}")
    verbs = top.add_subparsers(dest="verb", required=True, metavar="VERB")

    advise = verbs.add_parser("advise", help="advise on one case file (YAML or JSON, - for input)")
    advise.add_argument(
        "case", metavar="CASE", help="a .yaml or .json file, or - for standard input"
    )
    advise.add_argument("--json", action="store_true", help="for machines, without wrapping")
    advise.add_argument(
        "--full", action="store_true", help="with --json: everything, chain included"
    )
    advise.add_argument(
        "--exit-status",
        action="store_true",
        help="exit 10 when answers are needed, 20 when stopped",
    )
    again = advise.add_mutually_exclusive_group()
    again.add_argument(
        "--questions",
        action="store_true",
        help="what answers to the open questions would change, and which would settle the visit",
    )
    again.add_argument(
        "--session-table",
        action="store_true",
        help="what to do next in the session, whatever a step shows",
    )

    vet = verbs.add_parser("vet", help="run all checks of a rule book")
    vet.add_argument("--json", action="store_true", help="problems as JSON")
    more = vet.add_mutually_exclusive_group()
    more.add_argument(
        "--report",
        type=Path,
        metavar="FILE",
        help="write the rule book in plain words as one HTML page, fit to be printed",
    )
    more.add_argument(
        "--burden",
        nargs="?",
        const="",
        metavar="POPULATION",
        help="count questions and interruptions over an invented population (takes minutes)",
    )
    vet.add_argument("--visits", type=visits, metavar="N", help=f"with --burden: {VISITS}")
    serve = verbs.add_parser("serve", help="serve HTTP on the loopback address")
    serve.add_argument("--host", help="address to bind (default 127.0.0.1)")
    serve.add_argument("--port", type=int, help="port to bind (default 8642)")
    for verb in (advise, vet, serve):
        verb.add_argument("--rules", type=Path, help="folder of the rule book (default: embedded)")
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one verb; returns its exit code. Wrong usage exits with 2 through argparse."""
    options = parser().parse_args(argv)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # an encoding without some character shows another one instead of ending in between
            stream.reconfigure(errors="replace")
    try:
        code = _run(options)
        sys.stdout.flush()
    except BrokenPipeError:
        # the reader has seen enough; nothing may be written at exit either
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return exits.OK
    except OSError as error:
        print(f"the output could not be written: {error.strerror}", file=sys.stderr)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return exits.UNREADABLE
    return code


def _run(options: argparse.Namespace) -> int:
    try:
        settings = read_settings(os.environ)
    except SettingsError as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
        return exits.USAGE
    try:
        rules = find_rules(options.rules or settings.rules)
    except RulesNotFoundError as error:
        print(error, file=sys.stderr)
        return exits.NO_RULES
    if options.verb == "vet" and options.burden is not None:
        burden = importlib.import_module("cds.cli.burden")
        chosen = Path(options.burden) if options.burden else None
        counted: int = burden.run(rules, chosen, options.visits)
        return counted
    if options.verb == "advise" and (options.questions or options.session_table):
        rethink = importlib.import_module("cds.cli.rethink")
        said: int = rethink.run(options.case, rules, options.session_table, options.json)
        return said
    # A verb's own door is imported only when it is called: `vet` need not load the HTTP stack.
    door = importlib.import_module(f"cds.cli.{options.verb}")
    if options.verb == "advise":
        code: int = door.run(options.case, rules, options.json, options.full, options.exit_status)
    elif options.verb == "vet":
        code = door.run(rules, options.json, options.report)
    else:
        code = door.run(settings, rules, options.host, options.port)
    return code


if __name__ == "__main__":
    sys.exit(main())
