"""The one place that joins real parts: settings and a rule book's folder to a running `Service`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from uuid import UUID, uuid4

import orjson

from cds.decide import Decider
from cds.rulebook.program import Program
from cds.rulebook.vetting import load_program
from cds.service.advise import AdviceEnvelope, advise
from cds.service.check import CheckResult, check
from cds.service.rethinking import (
    ClosedAnswer,
    QuestionsAnswer,
    TableAnswer,
    call_questions,
    close,
    questions,
    table,
)
from cds.service.rulebook_view import rule_view, rulebook_view
from cds.service.vocabulary_view import vocabulary_view
from cds.service.writing import (
    Changes,
    Letters,
    Written,
    compare,
    write_home_sheet,
    write_letters,
    write_note,
)
from cds.settings import Settings
from cds.whatif.contact import ContactQuestion


def utc_now() -> datetime:
    """The service's clock."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Service:
    """Every use case on one rule book. Clock and ids are parts, so that tests can hold them still.

    `vocabulary`, `rulebook` and `rule` are JSON bytes, made once per edition.
    """

    program: Program
    decider: Decider
    now: Callable[[], datetime] = utc_now
    new_id: Callable[[], UUID] = uuid4

    @property
    def digest(self) -> str:
        """The edition's digest."""
        return self.program.digest

    def advise(self, body: object, *, full: bool = False) -> AdviceEnvelope:
        """Advice for a request's body. Raises `CaseError` with every problem."""
        return advise(self.decider, body, full=full, now=self.now, new_id=self.new_id)

    def check(self, body: object) -> CheckResult:
        """What of a request's case would count. Raises `CaseError` with every problem."""
        return check(self.decider.vocabulary, body)

    def note(self, body: object) -> Written:
        """The chart note of a request's case. Raises `CaseError` with every problem."""
        return write_note(self.decider, body, now=self.now, new_id=self.new_id)

    def letters(self, body: object) -> Letters:
        """The referral letters of a request's case. Raises `CaseError` with every problem."""
        return write_letters(self.decider, body, now=self.now, new_id=self.new_id)

    def home_sheet(self, body: object) -> Written:
        """The home sheet of a request's case. Raises `CaseError` with every problem."""
        return write_home_sheet(self.decider, body, now=self.now, new_id=self.new_id)

    def changes(self, body: object) -> Changes:
        """What changed between a request's two cases. Raises `CaseError` with every problem."""
        return compare(self.decider, body, now=self.now, new_id=self.new_id)

    def questions(self, body: object) -> QuestionsAnswer:
        """What answers to open questions would change. Raises `CaseError`."""
        return questions(self.decider, body)

    def session_table(self, body: object) -> TableAnswer:
        """What to do next in the session, whatever a step shows. Raises `CaseError`."""
        return table(self.decider, body)

    def close_session(self, body: object) -> ClosedAnswer:
        """The record for the next visit. Raises `CaseError`."""
        return close(self.decider, body)

    @cached_property
    def call_questions(self) -> list[ContactQuestion]:
        """What the telephone asks when the patient rings."""
        return call_questions(self.decider)

    @cached_property
    def vocabulary(self) -> bytes:
        """The vocabulary as JSON."""
        return orjson.dumps(vocabulary_view(self.program))

    @cached_property
    def rulebook(self) -> bytes:
        """The rule book as JSON, rules in short."""
        return orjson.dumps(rulebook_view(self.program))

    def rule(self, rule_id: str) -> bytes | None:
        """One rule in full as JSON; None when there is none of that id."""
        found = rule_view(self.program, rule_id)
        return None if found is None else orjson.dumps(found)


def build_service(settings: Settings, rules: Path | None = None) -> Service:
    """The service on the rule book in `rules`, or else where the settings say.

    Raises `RuleBookError` when the book does not pass its checks, `RulesNotFoundError` when there
    is none.
    """
    program = load_program(rules if rules is not None else settings.rules_folder())
    return Service(program, Decider(program))
