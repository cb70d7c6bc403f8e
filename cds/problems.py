"""Places and problems: how every reader and checker of this project says what is wrong and where.

A `Problem` is a value, not an exception: readers and checks collect all of them, sort them by
place, and raise or print once (`ProblemsError`). A place is either a line and column of a rule file
or a JSON pointer into a request.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TypedDict


class Severity(StrEnum):
    """How bad a problem is. Errors refuse the input; warnings are shown and let it pass."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A position in a rule file: path relative to the rule book, 1-based line and column."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        # no file: something that the whole rule book lacks
        return f"{self.file}:{self.line}:{self.column}" if self.file else "rule book"


class ProblemJson(TypedDict, total=False):
    """A problem as JSON: `code`, `severity`, `message`, and whichever of the others it has."""

    code: str
    severity: str
    message: str
    help: str
    file: str
    line: int
    column: int
    pointer: str


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a rule book or a case.

    `code` comes from a closed list (`cds.rulebook.codes` for books, `cds.vocabulary.codes` for
    cases). `message` is one line, lower case, user text in backticks; for cases it never repeats a
    recorded value. `place` is set for rule files, `pointer` (RFC 6901) for JSON input.
    """

    code: str
    message: str
    place: Place | None = None
    pointer: str | None = None
    help: str | None = None
    severity: Severity = Severity.ERROR

    def sort_key(self) -> tuple[str, int, int, str, str, str]:
        """Order by file, line, column, then pointer, code and message."""
        place = self.place or Place("", 0, 0)
        return (place.file, place.line, place.column, self.pointer or "", self.code, self.message)

    def to_json(self) -> ProblemJson:
        """The machine-readable form; absent members are left out."""
        found: ProblemJson = {
            "code": self.code,
            "severity": self.severity.value,
            "message": self.message,
        }
        if self.help is not None:
            found["help"] = self.help
        if self.place is not None and self.place.file:
            # a problem of the whole book has no file
            found["file"] = self.place.file
            found["line"] = self.place.line
            found["column"] = self.place.column
        if self.pointer is not None:
            found["pointer"] = self.pointer
        return found

    def __str__(self) -> str:
        where = str(self.place) if self.place else (self.pointer or "")
        return f"{where}: {self.severity}: {self.message} [{self.code}]" if where else self.message


def sorted_problems(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """All problems once each, in order of place."""
    return tuple(sorted(set(problems), key=Problem.sort_key))


def has_errors(problems: Iterable[Problem]) -> bool:
    """Whether any problem refuses the input."""
    return any(p.severity is Severity.ERROR for p in problems)


class FeatheredgeError(Exception):
    """Base of every error this project raises on purpose."""


class ProblemsError(FeatheredgeError):
    """Input was refused. `problems` holds everything that was found, sorted by place."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = sorted_problems(problems)
        super().__init__(f"{len(self.problems)} problem(s)")


class RuleBookError(ProblemsError):
    """A rule book did not pass its checks."""


class CaseError(ProblemsError):
    """A case was refused whole: at least one value was wrong."""
