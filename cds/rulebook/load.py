"""A folder of rule files to a `Book`, and on to a `Program`: read, shape, check, compile.

Each stage runs only when the one before it found no error, except that shaping also runs beside
reading problems as long as every file could be read to its end.
"""

from __future__ import annotations

from pathlib import Path, PurePosixPath

from cds.problems import Problem, RuleBookError, has_errors
from cds.rulebook.book import Book
from cds.rulebook.reading import TESTS_FOLDER, ReadFolder, read_folder
from cds.rulebook.shape import shape_book


def book_of(folder: ReadFolder) -> tuple[Book | None, list[Problem]]:
    """The book of a folder already read, with all problems of reading and shape.

    The book is None when there was an error. Files under `tests/` are cases, not rules.
    """
    problems = list(folder.problems)
    if folder.unread:
        # names declared in an unread file would all seem unknown
        return None, problems
    files = {
        name: node
        for name, node in folder.files.items()
        if PurePosixPath(name).parts[0] != TESTS_FOLDER
    }
    book, found = shape_book(files)
    # a value that could not be read is wrong in shape too: say it once
    told = {problem.place for problem in folder.problems}
    problems.extend(problem for problem in found if problem.place not in told)
    return (None if has_errors(problems) else book), problems


def load_book(root: Path) -> Book:
    """The rule book under `root`, well shaped but not yet judged.

    Raises `RuleBookError` with every problem of reading and shape.
    """
    book, problems = book_of(read_folder(root))
    if book is None:
        raise RuleBookError(problems)
    return book
