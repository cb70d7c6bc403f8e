"""`featheredge vet --burden`: how much the rule book asks, how often it interrupts."""

from __future__ import annotations

import sys
from pathlib import Path

from cds.assure.burden.measure import measure_folder
from cds.assure.burden.population_reading import (
    PopulationError,
    default_population,
    read_population,
)
from cds.assure.burden.report import report
from cds.cli import exits
from cds.problems import RuleBookError
from cds.rulebook.printing import print_problems


def run(rules: Path, population: Path | None = None, visits: int | None = None) -> int:
    """Print the report; 1 when book or population is refused, 4 when a file is not there.

    Goals that are not met are printed, and are no failure: they are for the authors to judge.
    """
    chosen = population or default_population()
    for path, there in ((rules, rules.is_dir()), (chosen, chosen.is_file())):
        if not there:
            print(f"{path}: not found", file=sys.stderr)
            return exits.UNREADABLE
    try:
        found = measure_folder(rules, read_population(chosen).of_size(visits))
    except PopulationError as error:
        print(print_problems(error.problems, error.texts), file=sys.stderr)
        return exits.REFUSED
    except RuleBookError as error:
        print(f"{len(error.problems)} problem(s); run `featheredge vet`.", file=sys.stderr)
        return exits.REFUSED
    print(report(found), end="")
    return exits.OK
