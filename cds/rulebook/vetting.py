"""All checks of a rule book's folder in one go, down to the compiled Program.

The order of stages: read, shape, check, compile, mirror. A later stage runs only when the earlier
ones found no error, so that one mistake is not reported three times.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from cds.problems import Problem, RuleBookError, has_errors, sorted_problems
from cds.rulebook.checks import check_book, mirror_problems
from cds.rulebook.compile import compile_book
from cds.rulebook.load import book_of
from cds.rulebook.program import Program
from cds.rulebook.reading import read_folder


@dataclass(frozen=True, slots=True)
class Vetted:
    """What came of a folder: the program unless there was an error, all problems, the file
    texts."""

    program: Program | None
    problems: tuple[Problem, ...]
    texts: Mapping[str, str]


def vet_folder(root: Path) -> Vetted:
    """Run every check on the rule book under `root`. Never raises for what the files say."""
    folder = read_folder(root)
    book, problems = book_of(folder)
    program = None
    if book is not None:
        problems.extend(check_book(book))
        if not has_errors(problems):
            program = compile_book(book)
            mirrored = mirror_problems(program)
            problems.extend(mirrored)
            if has_errors(mirrored):
                program = None
    return Vetted(program, sorted_problems(problems), folder.texts)


def load_program(root: Path) -> Program:
    """The compiled rule book under `root`. Raises `RuleBookError` when any check found an error."""
    vetted = vet_folder(root)
    if vetted.program is None:
        raise RuleBookError(vetted.problems)
    return vetted.program
