"""Writes the report: `python -m cds.assure.burden tests/bench/burden.md [rules] [--visits N]`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from cds.assure.burden.measure import measure_folder
from cds.assure.burden.population import VISITS, visits
from cds.assure.burden.population_reading import default_population, read_population
from cds.assure.burden.report import report
from cds.problems import ProblemsError
from cds.settings import find_rules


def main(arguments: Sequence[str]) -> int:
    """Write the report; wrong usage and `--help` end through argparse."""
    parser = argparse.ArgumentParser(prog="python -m cds.assure.burden", description=__doc__)
    parser.add_argument("file", type=Path, help="where the report is written")
    parser.add_argument("rules", type=Path, nargs="?", help="folder of a rule book")
    parser.add_argument("--visits", type=visits, metavar="N", help=VISITS)
    options = parser.parse_args(arguments)
    try:
        population = read_population(default_population()).of_size(options.visits)
        found = measure_folder(find_rules(options.rules), population)
    except ProblemsError as error:
        sys.stderr.write("".join(f"{problem}\n" for problem in error.problems))
        return 1
    options.file.write_text(report(found), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
