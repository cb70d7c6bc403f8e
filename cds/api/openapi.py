"""The published contract: an OpenAPI 3.1 document that only the product's version changes.

The vocabulary belongs to the edition, so a case's own JSON Schema is served by `/v1/vocabulary`;
the document says of a case what holds in every edition. `python -m cds.api.openapi FILE` writes it.
"""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path

import orjson

from cds.api import examples, rethinking_contract
from cds.api.contract import read, write
from cds.api.errors import TYPES, ProblemDetails
from cds.api.shapes import Health, ProblemTypeView, Version
from cds.api.typed_schema import Schema, components, reference
from cds.service.advise import AdviceEnvelope
from cds.service.check import CheckResult
from cds.service.request import FORMATS
from cds.service.rulebook_view import RulebookView, RuleView
from cds.service.vocabulary_view import VocabularyView
from cds.service.writing import Changes, Letters, Written
from cds.vocabulary.model import MOMENTS

CONTRACT_VERSION = "1.0.0"

DESCRIPTION = """\
Decision support for staged manual treatment of the spine. It supports a licensed professional, who
decides; it is not for emergencies. Local codes and licensed practice go first.

What is not recorded is unknown, never absent. An error means that nothing was assessed. Every error
is `application/problem+json`; a route that does not exist is 404, a method it does not have is 405.
Advice depends on the case and the edition of the rule book alone: the same two give the same.
Nothing that is sent is stored.
"""

_CASE: Schema = {
    "title": "Case",
    "description": "What is recorded of one patient at one moment of care. The members and words "
    "of the edition in use are in `case_schema` of `GET /v1/vocabulary`.",
    "type": "object",
    "properties": {
        "as_of": {"type": "string", "format": "date"},
        "moment": {"type": "string", "enum": list(MOMENTS)},
    },
    "required": ["as_of", "moment"],
}


def _body(title: str, **more: Schema) -> Schema:
    return {
        "title": title,
        "type": "object",
        "properties": {"case": {"$ref": "#/components/schemas/Case"}, **more},
        "required": ["case"],
        "additionalProperties": False,
    }


_TWO: Schema = {
    "title": "ChangesRequest",
    "description": "Two cases of one patient; the later may not be of an earlier day.",
    "type": "object",
    "properties": {
        "before": {"$ref": "#/components/schemas/Case"},
        "after": {"$ref": "#/components/schemas/Case"},
    },
    "required": ["before", "after"],
    "additionalProperties": False,
}


def document() -> Schema:
    """The whole contract."""
    detail: Schema = {
        "name": "detail",
        "in": "query",
        "description": "`compact` (default): what decides or holds. `full`: everything.",
        "schema": {"type": "string", "enum": ["compact", "full"], "default": "compact"},
    }
    rule_id: Schema = {
        "name": "id",
        "in": "path",
        "required": True,
        "schema": {"type": "string", "minLength": 1},
    }
    problem: Schema = {
        "name": "name",
        "in": "path",
        "required": True,
        "schema": {"type": "string", "enum": list(TYPES)},
    }
    draft: Schema = {
        "description": "Asked while typing: the answer is marked as a draft.",
        "type": "boolean",
        "default": False,
    }
    form: Schema = {
        "description": "How `text` is set.",
        "type": "string",
        "enum": list(FORMATS),
        "default": FORMATS[0],
    }
    health = "application/health+json"
    ready = read("ready", "Whether advice can be given.", reference(Health), media=health)
    for operation, content in (
        (ready["get"], {"content": {health: {"schema": reference(Health)}}}),
        (ready["head"], {}),
    ):
        operation["responses"]["503"] = {
            "description": "The rule book is not loaded.",
            "headers": operation["responses"]["200"]["headers"],
            **content,
        }
    paths: Schema = {
        "/v1/advice": write(
            "advise",
            "Advice for one case.",
            "Compact unless `detail=full`. The advice stands in an envelope with its id, its time "
            "and whether it is a draft.",
            {"$ref": "#/components/schemas/AdviceRequest"},
            examples.ADVICE,
            reference(AdviceEnvelope),
            [detail],
        ),
        "/v1/cases/check": write(
            "check",
            "Whether a case is readable, and what of it would count.",
            "Every problem at once, or how many answers would count, be stale or be missing.",
            {"$ref": "#/components/schemas/CheckRequest"},
            examples.CHECK,
            reference(CheckResult),
        ),
        "/v1/advice/changes": write(
            "changes",
            "What changed between two advices of one patient.",
            "Both cases are decided by the edition in use. Nothing is said where nothing changed.",
            {"$ref": "#/components/schemas/ChangesRequest"},
            examples.CHANGES,
            reference(Changes),
        ),
        "/v1/notes": write(
            "note",
            "The chart note of a case.",
            "What was recorded with its date, by whom and how, what was not asked, what was "
            "advised and why. The same case and edition give the same words.",
            {"$ref": "#/components/schemas/PaperRequest"},
            examples.PAPER,
            reference(Written),
        ),
        "/v1/letters": write(
            "letters",
            "Referral letters, one for each referral advised.",
            "Names and signature are left open. A letter that is `held` is a draft until open "
            "questions are answered.",
            {"$ref": "#/components/schemas/PaperRequest"},
            examples.PAPER,
            reference(Letters),
        ),
        "/v1/home-sheets": write(
            "home_sheet",
            "The home sheet for the patient.",
            "In everyday words: where to go, when to get help, exercises, what to expect.",
            {"$ref": "#/components/schemas/PaperRequest"},
            examples.PAPER,
            reference(Written),
        ),
        **rethinking_contract.paths(),
        "/v1/version": read(
            "version", "Product, contract, rule language, edition.", reference(Version),
            refused=["not-ready"],
        ),
        "/v1/vocabulary": read(
            "vocabulary", "What may be recorded and concluded, with the JSON Schema of a case.",
            reference(VocabularyView), tagged=True, refused=["not-ready"],
        ),
        "/v1/rulebook": read(
            "rulebook", "The rule book, rules in short.", reference(RulebookView), tagged=True,
            refused=["not-ready"],
        ),
        "/v1/rulebook/rules/{id}": read(
            "rule", "One rule in full.", reference(RuleView), tagged=True,
            refused=["not-found", "not-ready"], parameters=[rule_id],
        ),
        "/problems/{name}": read(
            "problem_type", "What a type of error means.", reference(ProblemTypeView),
            refused=["not-found"], parameters=[problem],
        ),
        "/openapi.json": read("contract", "This document.", {"type": "object"}),
        "/health/live": read(
            "live", "Whether the process answers.", reference(Health), media=health
        ),
        "/health/ready": ready,
    }  # fmt: skip
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Featheredge",
            "version": CONTRACT_VERSION,
            "description": DESCRIPTION,
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/"}],
        "paths": paths,
        "components": {
            "schemas": {
                **components(
                    AdviceEnvelope, CheckResult, Changes, Written, Letters, Version, VocabularyView,
                    RulebookView, RuleView, ProblemTypeView, ProblemDetails, Health,
                    *rethinking_contract.ANSWERS,
                ),
                "Case": _CASE,
                "AdviceRequest": _body("AdviceRequest", draft=draft),
                "CheckRequest": _body("CheckRequest"),
                "PaperRequest": _body("PaperRequest", format=form),
                "ChangesRequest": _TWO,
                **rethinking_contract.schemas(),
            }
        },
    }  # fmt: skip


@cache
def document_bytes() -> bytes:
    """The document as it is published and served."""
    return orjson.dumps(document(), option=orjson.OPT_INDENT_2) + b"\n"


def main(arguments: list[str]) -> int:
    """Write the document to the one file named."""
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m cds.api.openapi FILE\n")
        return 2
    Path(arguments[0]).write_bytes(document_bytes())
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
