"""The body of a request about one case: `{"case": {…}, "draft": true}` -> a checked case.

The envelope leaves room beside the case for what is not part of the patient's record. Problems of
the envelope and of the case are reported together, each with its pointer into the whole body.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date

from cds.problems import CaseError
from cds.vocabulary.case import Case
from cds.vocabulary.reading import read_case
from cds.vocabulary.reading_fields import Fields, Sink
from cds.vocabulary.vocabulary import Vocabulary

CASE = "case"
DRAFT = "draft"


@dataclass(frozen=True, slots=True)
class Request:
    """A checked request. `draft`: asked while typing, not given to anybody."""

    case: Case
    draft: bool = False


def read_request(vocabulary: Vocabulary, body: object, keys: Collection[str]) -> Request:
    """The request that `body` (parsed JSON) makes; `keys` are the members it may have.

    Raises `CaseError` with every problem of envelope and case.
    """
    sink = Sink(date.max)
    fields = Fields(body, "", "the body", keys, sink)
    if not isinstance(body, dict):
        raise CaseError(sink.problems)
    draft = fields.get(DRAFT) if DRAFT in fields else False
    if not isinstance(draft, bool):
        sink.error("wrong-type", f"`{DRAFT}` must be true or false", fields.at(DRAFT))
    case = None
    if fields.owed(CASE):
        try:
            case = read_case(vocabulary, fields.get(CASE))
        except CaseError as error:
            sink.problems.extend(
                replace(problem, pointer=fields.at(CASE) + (problem.pointer or ""))
                for problem in error.problems
            )
    if case is None or sink.problems:
        raise CaseError(sink.problems)
    return Request(case, bool(draft))
