"""The body of a request about one case: `{"case": {…}, "draft": true}` -> a checked case.

Some requests have two cases, or a format beside it (`read_two`, `read_paper`). The envelope leaves
room beside the case for what is not part of the patient's record. Problems of
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
BEFORE = "before"
AFTER = "after"
FORMAT = "format"
FORMATS = ("text", "markdown")
"""How a paper may be set; the first where nothing is asked for."""


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
    case = case_at(vocabulary, fields, CASE)
    if case is None or sink.problems:
        raise CaseError(sink.problems)
    return Request(case, bool(draft))


def read_paper(vocabulary: Vocabulary, body: object) -> tuple[Case, str]:
    """The case of a request for something written, and the format it is to be set in.

    Raises `CaseError` with every problem of envelope and case.
    """
    sink = Sink(date.max)
    fields = Fields(body, "", "the body", (CASE, FORMAT), sink)
    if not isinstance(body, dict):
        raise CaseError(sink.problems)
    form = fields.word(FORMAT, FORMATS) or FORMATS[0]
    case = case_at(vocabulary, fields, CASE)
    if case is None or sink.problems:
        raise CaseError(sink.problems)
    return case, form


def read_two(vocabulary: Vocabulary, body: object) -> tuple[Case, Case]:
    """The earlier and the later case of one patient. Raises `CaseError` with every problem."""
    sink = Sink(date.max)
    fields = Fields(body, "", "the body", (BEFORE, AFTER), sink)
    if not isinstance(body, dict):
        raise CaseError(sink.problems)
    before, after = (case_at(vocabulary, fields, key) for key in (BEFORE, AFTER))
    if before is not None and after is not None:
        if after.as_of < before.as_of:
            message = f"`{AFTER}` is of an earlier day than `{BEFORE}`"
            sink.error("date-order", message, f"{fields.at(AFTER)}/as_of")
        if None not in (before.subject, after.subject) and before.subject != after.subject:
            message = f"`{BEFORE}` and `{AFTER}` are of different patients"
            sink.error("another-subject", message, f"{fields.at(AFTER)}/subject")
    if before is None or after is None or sink.problems:
        raise CaseError(sink.problems)
    return before, after


def case_at(vocabulary: Vocabulary, fields: Fields, key: str) -> Case | None:
    """The case that a member of the body is; its problems are noted at their place in the body."""
    if not fields.owed(key):
        return None
    try:
        return read_case(vocabulary, fields.get(key))
    except CaseError as error:
        fields.sink.problems.extend(
            replace(problem, pointer=fields.at(key) + (problem.pointer or ""))
            for problem in error.problems
        )
    return None
