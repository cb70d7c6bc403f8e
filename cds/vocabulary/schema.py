"""The JSON Schema (draft 2020-12) of a case for one edition.

It says what a schema can say of a case: keys, types, words of the edition, ranges. What needs two
places at once (order of dates, the as-of date, a finding that does not apply, a number in
whole steps of a fraction, levels listed twice) is only judged by `cds.vocabulary.reading`, so the
schema accepts all that the reader accepts, and a little more.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from decimal import Decimal
from typing import Any

from cds.vocabulary.case import HOW
from cds.vocabulary.model import LEVELS, MOMENTS, SIDES, URGENCIES, Finding, Kind
from cds.vocabulary.reading import NONE_OF_THESE
from cds.vocabulary.reading_fields import MAX_ITEMS, MAX_TEXT
from cds.vocabulary.reading_parts import (
    INTERPRETER,
    OLDEST,
    OUTCOMES,
    PAIN,
    POSITIONS,
    PROMINENT,
    RESOLVED_BY,
    SESSION_WORDS,
    SEX,
    STEP_WORDS,
    YES_NO,
)
from cds.vocabulary.reading_values import BOUNDS, MAX_CONFIRMATIONS, REASONS, lowest
from cds.vocabulary.vocabulary import SEGMENT, Vocabulary

DIALECT = "https://json-schema.org/draft/2020-12/schema"

Schema = dict[str, Any]


def case_schema(vocab: Vocabulary, schema_id: str | None = None) -> Schema:
    """The schema of a case for this edition; `schema_id` becomes its `$id` where given."""
    top: Schema = {
        "as_of": _ref("day"),
        "moment": _words(MOMENTS),
        "subject": _ref("text"),
        "episode": _ref("text"),
        "patient": _patient(),
        "answers": _answers(vocab, vocab.case_findings.values(), ""),
        "blocks": _object({name: _ref("block") for name in vocab.blocks}),
        "resolved": _list(_resolved(vocab)),
        "segments": {**_list(_segment(vocab)), "maxItems": len(LEVELS)},
        "course": _list(_session(vocab)),
        "today": _object({"steps": _list(_step(vocab))}),
        "referrals": _list(_referral(vocab)),
        "consents": _list(_consent(vocab)),
        "clinician": _object(
            {
                "id": _ref("text"),
                "training": _object({family: _words(YES_NO) for family in vocab.hands_on}),
            }
        ),
    }
    return {
        "$schema": DIALECT,
        **({"$id": schema_id} if schema_id else {}),
        "title": "Case",
        "description": "What is recorded of one patient at one moment of care. What is left out is"
        " unknown, never absent.",
        **_object(top, ("as_of", "moment")),
        # steps belong to a session in progress or just over
        "if": {
            "properties": {"moment": {"enum": ["before_session", "contact"]}},
            "required": ["moment"],
        },
        "then": {"properties": {"today": {"not": {"required": ["steps"]}}}},
        "$defs": _definitions(),
        "examples": [example(vocab)],
    }


def example(vocab: Vocabulary) -> Schema:
    """An invented case in this edition's words: a first visit, every block answered, one level."""
    asked = [
        finding
        for finding in vocab.case_findings.values()
        if finding.ask_alone and not finding.numeric and finding.applies_when is None
    ]
    negative = {
        finding.name: next(word for word in finding.values if word not in finding.adverse)
        for finding in asked
        if set(finding.values) - set(finding.adverse)
    }
    return {
        "as_of": "2026-11-20",
        "moment": "before_session",
        "subject": "s-01",
        "episode": "e-01",
        "patient": {"born": "1992-03", "sex": "female"},
        "answers": negative,
        "blocks": dict.fromkeys(vocab.blocks, NONE_OF_THESE),
        "segments": [
            {
                "level": "L5",
                "prominent": {"flexion": "left", "neutral": "left", "extension": "symmetric"},
            }
        ],
        "course": [],
    }


# ---------------------------------------------------------------- small shapes
def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _words(words: Iterable[str]) -> Schema:
    return {"type": "string", "enum": list(words)}


def _object(properties: Schema, required: Collection[str] = ()) -> Schema:
    found: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**found, "required": list(required)} if required else found


def _list(items: Schema) -> Schema:
    return {"type": "array", "items": items, "maxItems": MAX_ITEMS}


def _whole(low: int, high: int) -> Schema:
    return {"type": "integer", "minimum": low, "maximum": high}


def _definitions() -> Schema:
    whole_day = {"pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$", "minLength": 10, "maxLength": 10}
    return {
        "text": {
            "description": "An opaque id or a short text, without control characters.",
            "type": "string",
            "minLength": 1,
            "maxLength": MAX_TEXT,
            "not": {"pattern": "[\\u0000-\\u001f\\u007f]"},
        },
        "day": {
            "description": "A day, not after the as-of date.",
            "type": "string",
            "format": "date",
            **whole_day,
        },
        "span": {
            "description": "A day, month or year: YYYY-MM-DD, YYYY-MM or YYYY.",
            "type": "string",
            "anyOf": [
                {"format": "date", **whole_day},
                {"pattern": "^[0-9]{4}-(0[1-9]|1[0-2])$", "minLength": 7, "maxLength": 7},
                {"pattern": "^[0-9]{4}$", "maxLength": 4},
            ],
            "not": {"pattern": "^0000"},
        },
        "missing": _full("missing", _words(REASONS), HOW),
        "block": {
            "description": "`none_of_these` answers every finding of the block that was not asked"
            " for itself; findings that are asked alone are left out.",
            "anyOf": [
                {"const": NONE_OF_THESE},
                _full("value", {"const": NONE_OF_THESE}, HOW),
                _ref("missing"),
                {"type": "array", "minItems": 1, "maxItems": MAX_ITEMS, "items": {
                    "anyOf": [_full("value", {"const": NONE_OF_THESE}, HOW), _ref("missing")]}},
            ],
        },
    }  # fmt: skip


# ---------------------------------------------------------------- answers
def _full(key: str, value: Schema, how: Iterable[str]) -> Schema:
    """The full form of an answer, with `value` or `missing`."""
    properties = {
        key: value,
        "observed": _ref("day"),
        "asked": _ref("day"),
        "how": _words(how),
        "by": _ref("text"),
        "confirmations": _whole(0, MAX_CONFIRMATIONS),
    }
    again = {"properties": {"how": {"const": "confirmed_unchanged"}}, "required": ["how"]}
    return {
        **_object(properties, (key,)),
        "if": again,
        "then": {"required": ["observed"], "properties": {"confirmations": {"minimum": 1}}},
        "else": {"properties": {"confirmations": {"maximum": 0}}},
    }


def _answers(vocab: Vocabulary, findings: Iterable[Finding], prefix: str) -> Schema:
    return _object(
        {
            finding.name.removeprefix(prefix): _answer(finding, finding.name in vocab.blocked)
            for finding in findings
        }
    )


def _answer(finding: Finding, blocked: bool) -> Schema:
    ways = [way for way in HOW if blocked or way != "by_block"]
    # a partly known value has no short form
    short = _value(finding)
    full = _full("value", {"anyOf": [short, _partly(finding)]}, ways)
    return {
        "title": finding.title,
        "description": finding.ask,
        "anyOf": [
            short,
            full,
            _ref("missing"),
            {
                "type": "array",
                "minItems": 1,
                "maxItems": MAX_ITEMS,
                "items": {"anyOf": [full, _ref("missing")]},
            },
        ],
    }


def _value(finding: Finding) -> Schema:
    if finding.kind is Kind.DATE:
        return _ref("span")
    if not finding.numeric:
        return _words(finding.values)
    found: Schema = {"type": "number"}
    if finding.step == int(finding.step):
        found = {"type": "integer"}
        if finding.step != 1:
            found["multipleOf"] = int(finding.step)
    else:
        # multipleOf of a fraction is judged in binary by many validators
        found["description"] = f"In steps of {finding.step}."
    low, high = lowest(finding), finding.high
    if low is not None:
        found["minimum"] = _plain(low)
    if high is not None:
        found["maximum"] = _plain(high)
    if finding.unit:
        found["description"] = f"{found.get('description', '')} Unit: {finding.unit}".strip()
    return found


def _plain(number: Decimal) -> int | float:
    return int(number) if number == int(number) else float(number)


def _partly(finding: Finding) -> Schema:
    if not finding.numeric:
        options = {**_list(_words(finding.values)), "minItems": 1, "uniqueItems": True}
        return _object({"one_of": options}, ("one_of",))
    return {
        **_object({bound: _value(finding) for bound in BOUNDS}),
        "minProperties": 1,
        "not": {
            "anyOf": [
                {"required": ["at_least", "more_than"]},
                {"required": ["at_most", "less_than"]},
            ]
        },
    }


# ---------------------------------------------------------------- parts
def _patient() -> Schema:
    age = _whole(0, OLDEST)
    ends = ("at_least", "at_most")
    partly = _object(dict.fromkeys(ends, age), ends)
    properties = {"age": {"anyOf": [age, partly]}, "born": _ref("span"), "sex": _words(SEX)}
    return {**_object(properties), "not": {"required": ["age", "born"]}}


def _resolved(vocab: Vocabulary) -> Schema:
    positive = [
        finding
        for finding in vocab.findings.values()
        if finding.adverse and (not finding.numeric or finding.positive_from is not None)
    ]
    common = {"on": _ref("day"), "how": _words(RESOLVED_BY), "by": _ref("text")}
    shapes = []
    for level in (False, True):
        found = [f.name for f in positive if f.name.startswith(SEGMENT) == level]
        if found:
            properties = {"finding": _words(found), **common}
            if level:
                properties["level"] = _words(LEVELS)
            owed = tuple(properties)
            shapes.append(_object({**properties, "observed": _ref("day")}, owed))
    return {"anyOf": shapes} if shapes else {"not": {}}


def _segment(vocab: Vocabulary) -> Schema:
    return _object(
        {
            "level": _words(LEVELS),
            "prominent": _object({position: _words(PROMINENT) for position in POSITIONS}),
            "grades": _object({position: _whole(0, 3) for position in POSITIONS}),
            "answers": _answers(vocab, vocab.segment_findings.values(), SEGMENT),
        },
        ("level",),
    )


def _session(vocab: Vocabulary) -> Schema:
    given = {
        "level": _words(LEVELS),
        "rung": _words(vocab.rungs),
        "side": _words(SIDES),
        "technique": _ref("text"),
    }
    return _object(
        {
            "on": _ref("day"),
            "therapist": _ref("text"),
            "given": _list(_object(given, ("level", "rung"))),
            "advised": _words(vocab.rungs),
            "pain_before": _whole(*PAIN),
            "pain_after": _whole(*PAIN),
            "worsened_at": _words(("none", *vocab.rungs)),
            **{key: _words(words) for key, words in SESSION_WORDS.items()},
        },
        ("on",),
    )


def _step(vocab: Vocabulary) -> Schema:
    return _object(
        {
            "rung": _words(vocab.rungs),
            "level": _words(LEVELS),
            "pain": _whole(*PAIN),
            "card": _ref("text"),
            **{key: _words(words) for key, words in STEP_WORDS.items()},
        },
        ("rung",),
    )


def _referral(vocab: Vocabulary) -> Schema:
    if not vocab.destinations:
        return {"not": {}}
    properties = {
        "to": _words(vocab.destinations),
        "urgency": _words(URGENCIES[1:]),
        "on": _ref("day"),
        "outcome": _words(OUTCOMES),
        "outcome_on": _ref("day"),
    }
    found = _object(properties, ("to", "urgency", "on"))
    return {**found, "dependentRequired": {"outcome_on": ["outcome"]}}


def _consent(vocab: Vocabulary) -> Schema:
    return _object(
        {
            "family": _words(("hands_on", *vocab.hands_on)),
            "region": _ref("text"),
            "on": _ref("day"),
            "by": _ref("text"),
            "capacity": _words(YES_NO),
            "risks_given": _words(YES_NO),
            "alternative_given": _words(YES_NO),
            "withdrawn": _ref("day"),
            "interpreter": _words(INTERPRETER),
        },
        ("family", "region", "on", "by"),
    )
