"""The published contract of the routes that decide a case again."""

from __future__ import annotations

from typing import Any

from cds.api import examples
from cds.api.contract import write
from cds.api.typed_schema import Schema, reference
from cds.service.rethinking import AT_MOST, ClosedAnswer, QuestionsAnswer, TableAnswer
from cds.vocabulary.model import LEVELS, SIDES
from cds.vocabulary.reading_parts import GUARDING, PAIN

ANSWERS = (QuestionsAnswer, TableAnswer, ClosedAnswer)
"""What the routes answer, for the components of the document."""

_CASE = examples.FIRST_VISIT["case"]

QUESTIONS: dict[str, Any] = {
    "first_visit": {
        "summary": "The three questions that matter most",
        "value": {"case": _CASE, "limit": 3},
    },
    "one_finding": {
        "summary": "One finding, all its answers",
        "value": {"case": _CASE, "finding": "bladder_function"},
    },
}
TABLE: dict[str, Any] = {"first_visit": {"summary": "A first visit", "value": {"case": _CASE}}}
CLOSE: dict[str, Any] = {
    "first_visit": {
        "summary": "A first visit closed with three answers",
        "value": {
            "case": _CASE,
            "closing": {
                "done": [{"level": "L5", "rung": "muscle_energy"}],
                "guarding": "mild",
                "pain": 3,
            },
        },
    }
}


def _body(title: str, required: list[str], **more: Schema) -> Schema:
    return {
        "title": title,
        "type": "object",
        "properties": {"case": {"$ref": "#/components/schemas/Case"}, **more},
        "required": required,
        "additionalProperties": False,
    }


def schemas() -> Schema:
    """The bodies of the requests."""
    name = {"type": "string", "minLength": 1}
    given: Schema = {
        "type": "object",
        "properties": {
            "level": {"enum": list(LEVELS)},
            "rung": name,
            "side": {"enum": list(SIDES)},
            "technique": name,
        },
        "required": ["level", "rung"],
        "additionalProperties": False,
    }
    closing: Schema = {
        "description": "Three answers: what was done, guarding at the end, pain after. What was "
        "not taken is left out. `referred`: referrals of the advice that were made today.",
        "type": "object",
        "properties": {
            "done": {"type": "array", "items": given},
            "guarding": {"enum": list(GUARDING)},
            "pain": {"type": "integer", "minimum": PAIN[0], "maximum": PAIN[1]},
            "referred": {"type": "array", "items": name},
        },
        "required": ["done"],
        "additionalProperties": False,
    }
    return {
        "QuestionsRequest": _body(
            "QuestionsRequest",
            ["case"],
            finding={**name, "description": "Only this finding."},
            level={"description": "The level of the finding.", "enum": list(LEVELS)},
            limit={"type": "integer", "minimum": 1, "maximum": AT_MOST},
        ),
        "TableRequest": _body("TableRequest", ["case"]),
        "CloseRequest": _body("CloseRequest", ["case", "closing"], closing=closing),
    }


def paths() -> Schema:
    """The operations."""
    return {
        "/v1/advice/questions": write(
            "questions",
            "What answers to the open questions would change.",
            "Each answer is decided, not estimated. With a smallest set of answers that would "
            "settle the case, and what no answer changes.",
            {"$ref": "#/components/schemas/QuestionsRequest"},
            QUESTIONS,
            reference(QuestionsAnswer),
        ),
        "/v1/advice/session-table": write(
            "session_table",
            "What to do next in the session, whatever a step shows.",
            "For each rung of the path and each level treated, decided beforehand.",
            {"$ref": "#/components/schemas/TableRequest"},
            TABLE,
            reference(TableAnswer),
        ),
        "/v1/sessions/close": write(
            "close_session",
            "Close a session: the record for the next visit.",
            "Nothing is stored: the record is answered as a case, for the sender to keep.",
            {"$ref": "#/components/schemas/CloseRequest"},
            CLOSE,
            reference(ClosedAnswer),
        ),
    }
