"""Problems of a rule book for a terminal, and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cds.problems import Problem, ProblemJson, Severity, sorted_problems
from cds.rulebook.reading import show


def print_problems(problems: Iterable[Problem], texts: Mapping[str, str]) -> str:
    """Every problem with its line and marker, a blank line between, then how many there are.

    `texts`: file -> source, as `cds.rulebook.reading.ReadFolder.texts`. No problems: "".
    """
    found = sorted_problems(problems)
    if not found:
        return ""
    return "\n\n".join((*(show(problem, texts) for problem in found), _total(found))) + "\n"


def problems_json(problems: Iterable[Problem]) -> list[ProblemJson]:
    """The same, for machines."""
    return [problem.to_json() for problem in sorted_problems(problems)]


def _total(problems: tuple[Problem, ...]) -> str:
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    return f"{_count(errors, 'error')}, {_count(len(problems) - errors, 'warning')}"


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
