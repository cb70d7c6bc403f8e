"""Use cases that decide a case again: what answers would change, session table, closing, a call.

Each reads its own body, tells every problem at its pointer, and stores nothing.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from typing import Any, TypedDict

from cds.decide import Decider
from cds.problems import CaseError
from cds.vocabulary.advice import Edition
from cds.vocabulary.case import Case, Given
from cds.vocabulary.model import LEVELS, SIDES
from cds.vocabulary.reading import read_case
from cds.vocabulary.reading_fields import Fields, Sink, as_word
from cds.vocabulary.reading_parts import GIVEN_KEYS, GUARDING, PAIN
from cds.vocabulary.vocabulary import Vocabulary
from cds.whatif.answers import (
    MOST,
    QuestionEffects,
    UnknownQuestionError,
    effects_of,
    effects_of_finding,
)
from cds.whatif.branches import SessionTable, session_table
from cds.whatif.closing import Closing, ClosingOffer, NotAdvisedError, offer, record
from cds.whatif.contact import CONTACT, ContactQuestion, contact_questions
from cds.whatif.settle import Settler, Settling
from cds.whatif.unmoved import Unmoved, unmoved

CASE = "case"
QUESTIONS_KEYS = (CASE, "finding", "level", "limit")
TABLE_KEYS = (CASE,)
CLOSE_KEYS = (CASE, "closing")
CLOSING_KEYS = ("done", "guarding", "pain", "referred")
AT_MOST = 40
"""Questions that may be asked for at once."""

LOOKS = 60
"""Cases judged at most in looking for a smaller set: a request is answered while one waits."""


class QuestionsAnswer(TypedDict):
    """Effects of answers; a smallest set that would settle the case; what no answer changes.

    Where a finding was named, `questions` has that one alone.
    """

    questions: list[QuestionEffects]
    settle: Settling
    unmoved: Unmoved
    edition: Edition


class TableAnswer(TypedDict):
    """The table for the session, and what closing it may begin from."""

    table: SessionTable
    offer: ClosingOffer
    edition: Edition


class ClosedAnswer(TypedDict):
    """The record for the next visit, a case whose `as_of` is to be set to that day."""

    record: dict[str, Any]
    edition: Edition


def questions(decider: Decider, body: object) -> QuestionsAnswer:
    """What answers to the open questions of a case would change. Raises `CaseError`."""
    fields, case = _read(decider.vocabulary, body, QUESTIONS_KEYS)
    sink = fields.sink
    finding = fields.text("finding")
    level = fields.word("level", LEVELS, "unknown-level")
    limit = fields.whole("limit", 1, AT_MOST)
    if level is not None and finding is None:
        sink.error("missing-key", "`level` is of a `finding`", fields.at("level"))
    if case is None or sink.problems:
        raise CaseError(sink.problems)
    try:
        found = (
            effects_of(decider, case, limit or MOST)
            if finding is None
            else [effects_of_finding(decider, case, finding, level)]
        )
    except UnknownQuestionError as error:
        sink.error("unknown-finding", str(error), fields.at("finding"))
        raise CaseError(sink.problems) from None
    return {
        "questions": found,
        "settle": Settler(decider).settle(case, LOOKS),
        "unmoved": unmoved(decider, case),
        "edition": _edition(decider),
    }


def table(decider: Decider, body: object) -> TableAnswer:
    """The table for the session of a case. Raises `CaseError`."""
    fields, case = _read(decider.vocabulary, body, TABLE_KEYS)
    if case is None or fields.sink.problems:
        raise CaseError(fields.sink.problems)
    return {
        "table": session_table(decider, case),
        "offer": offer(decider, case),
        "edition": _edition(decider),
    }


def close(decider: Decider, body: object) -> ClosedAnswer:
    """The record for the next visit, from the case of this one and its closing answers.

    Raises `CaseError`.
    """
    fields, case = _read(decider.vocabulary, body, CLOSE_KEYS)
    sink = fields.sink
    closing = None
    if fields.owed("closing"):
        closing = _closing(decider.vocabulary, fields)
    if case is not None and case.moment == CONTACT:
        sink.error("not-a-moment-for", "at a contact there is no session to close", "/case/moment")
    if case is None or closing is None or sink.problems:
        raise CaseError(sink.problems)
    try:
        found = record(decider, case, closing)
    except NotAdvisedError as error:
        sink.error("not-advised", str(error), f"/closing/referred/{error.place}")
        raise CaseError(sink.problems) from None
    return {"record": found, "edition": _edition(decider)}


def call_questions(decider: Decider) -> list[ContactQuestion]:
    """What the telephone asks when the patient rings, in order; the same for every patient."""
    return contact_questions(decider.program)


def _read(
    vocabulary: Vocabulary, body: object, keys: Collection[str]
) -> tuple[Fields, Case | None]:
    sink = Sink(date.max)
    fields = Fields(body, "", "the body", keys, sink)
    if not isinstance(body, dict):
        raise CaseError(sink.problems)
    if not fields.owed(CASE):
        return fields, None
    try:
        return fields, read_case(vocabulary, fields.get(CASE))
    except CaseError as error:
        sink.problems.extend(
            replace(problem, pointer=fields.at(CASE) + (problem.pointer or ""))
            for problem in error.problems
        )
    return fields, None


def _closing(vocabulary: Vocabulary, fields: Fields) -> Closing:
    sink = fields.sink
    inner = Fields(fields.get("closing"), fields.at("closing"), "`closing`", CLOSING_KEYS, sink)
    inner.owed("done")
    done: list[Given] = []
    for member, at in inner.items("done") or ():
        given = Fields(member, at, "a treatment given", GIVEN_KEYS, sink)
        given.owed("level", "rung")
        level = given.word("level", LEVELS, "unknown-level")
        rung = given.word("rung", vocabulary.rungs, "unknown-rung")
        side, technique = given.word("side", SIDES), given.text("technique")
        if level and rung:
            done.append(Given(level, rung, side, technique))
    referred = [
        as_word(member, vocabulary.destinations, "a destination", at, sink)
        for member, at in inner.items("referred") or ()
    ]
    return Closing(
        done=tuple(done),
        guarding=inner.word("guarding", GUARDING),
        pain=inner.whole("pain", *PAIN),
        referred=tuple(to for to in referred if to is not None),
    )


def _edition(decider: Decider) -> Edition:
    program = decider.program
    return {"title": program.title, "language": program.language, "digest": program.digest}
