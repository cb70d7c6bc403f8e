"""Writes the report: `python -m cds.assure.burden tests/bench/burden.md [rules]`."""

from __future__ import annotations

import sys
from pathlib import Path

from cds.assure.burden.measure import measure_folder
from cds.assure.burden.population_reading import default_population, read_population
from cds.assure.burden.report import report
from cds.problems import ProblemsError
from cds.settings import find_rules


def main(arguments: list[str]) -> int:
    """Write the report to the first argument; the second is a rule book's folder."""
    if not 1 <= len(arguments) <= 2:
        sys.stderr.write(f"{__doc__}\n")
        return 2
    rules = find_rules(Path(arguments[1]) if len(arguments) == 2 else None)
    try:
        found = measure_folder(rules, read_population(default_population()))
    except ProblemsError as error:
        sys.stderr.write("".join(f"{problem}\n" for problem in error.problems))
        return 1
    Path(arguments[0]).write_text(report(found), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
