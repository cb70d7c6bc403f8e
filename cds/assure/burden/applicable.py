"""A case read with only those answers whose findings apply to the patient."""

from __future__ import annotations

from typing import Any

from cds.problems import CaseError
from cds.vocabulary.case import Case
from cds.vocabulary.reading import read_case
from cds.vocabulary.vocabulary import Vocabulary


def read_applicable(vocabulary: Vocabulary, case: dict[str, Any]) -> Case:
    """The checked case. Answers that do not apply are taken out of `case` itself, first."""
    while True:
        try:
            return read_case(vocabulary, case)
        except CaseError as error:
            found = [p.pointer or "" for p in error.problems if p.code == "does-not-apply"]
            if len(found) < len(error.problems):
                raise
            for pointer in found:
                _drop(case, pointer)


def _drop(case: dict[str, Any], pointer: str) -> None:
    """Take out the answer at a pointer such as /answers/x or /segments/0/answers/x."""
    parts = pointer.split("/")[1:]
    at: Any = case
    for place, part in enumerate(parts):
        key: Any = int(part) if isinstance(at, list) else part
        if place > 0 and parts[place - 1] == "answers":
            del at[key]
            return
        at = at[key]
