"""Pieces of the rule file schema: words, lists, records, and the conditions and writes of rules."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from cds.rulebook.book import Basis, Book, Phase
from cds.rulebook.conditions import Source
from cds.rulebook.shape_conditions import LIST_OPS, OPERATORS, TRUE_OPS
from cds.rulebook.shape_rules import EACH, REFERRAL_KEYS, RULE_KEYS
from cds.vocabulary.model import URGENCIES, Scope
from cds.vocabulary.values import Op

Json = dict[str, Any]

SNAKE = "^[a-z][a-z0-9]*(_[a-z0-9]+)*$"
KEBAB = "^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
FINDING = "^(segment\\.)?[a-z][a-z0-9]*(_[a-z0-9]+)*$"

TEXT: Json = {"type": ["string", "number"]}
WORD: Json = {"type": ["string", "number"]}
TEXTS: Json = {"type": "array", "items": TEXT, "minItems": 1}
WORDS: Json = {"type": "array", "items": WORD, "minItems": 1, "uniqueItems": True}
DATE: Json = {"type": "string", "format": "date"}
COUNT: Json = {"type": "integer", "minimum": 1}
TRUE_FALSE: Json = {"type": "boolean"}
KEBAB_ID: Json = {"type": "string", "pattern": KEBAB}


def ref(name: str) -> Json:
    """A reference to a definition."""
    return {"$ref": f"#/$defs/{name}"}


def one_of(words: Iterable[str]) -> Json:
    """One word of a closed list."""
    return {"enum": [str(word) for word in words]}


def several(words: Iterable[str]) -> Json:
    """A list of different words of a closed list, at least one."""
    return {"type": "array", "items": one_of(words), "minItems": 1, "uniqueItems": True}


def listed(item: Json) -> Json:
    """A list with at least one member."""
    return {"type": "array", "items": item, "minItems": 1}


def pair(kind: str) -> Json:
    """Two numbers, low and high."""
    return {"type": "array", "items": {"type": kind}, "minItems": 2, "maxItems": 2}


def named(pattern: str, item: Json) -> Json:
    """A mapping whose keys are ids."""
    return {
        "type": "object",
        "propertyNames": {"pattern": pattern},
        "additionalProperties": item,
        "minProperties": 1,
    }


def record(keys: Iterable[str], required: Iterable[str], /, **known: Json) -> Json:
    """A mapping with a closed list of keys; those not in `known` are texts."""
    properties = {key: known.get(key, TEXT) for key in keys}
    strays = known.keys() - properties.keys()
    if strays:
        raise AssertionError(f"no such keys: {sorted(strays)}")
    return {
        "type": "object",
        "properties": properties,
        "required": list(required),
        "additionalProperties": False,
    }


def condition(book: Book) -> Json:
    """A group of conditions, or a test of one finding, feature, conclusion or policy choice."""
    members = listed(ref("condition"))
    some = record(("at_least", "of"), ("at_least", "of"), at_least=COUNT, of=members)
    groups = [record((key,), (key,), **{key: members}) for key in ("all", "any", "none")]
    return {
        "anyOf": [
            *groups,
            record(("some",), ("some",), some=some),
            *(_test(source, names) for source, names in _subjects(book).items()),
        ]
    }


def _subjects(book: Book) -> dict[Source, list[str]]:
    return {
        Source.FINDING: list(book.findings),
        Source.FEATURE: list(book.features),
        Source.CONCLUSION: _readable(book),
        Source.POLICY: list(book.policy),
    }


def _readable(book: Book) -> list[str]:
    """Names under which conclusions are read: with their key, and per level with `segment.`."""
    found: list[str] = []
    for conclusion in book.conclusions.values():
        names = [f"{conclusion.name}.{key}" for key in conclusion.keys] or [conclusion.name]
        if Scope.CASE in conclusion.scopes:
            found.extend(names)
        if Scope.SEGMENT in conclusion.scopes:
            found.extend(f"segment.{name}" for name in names)
    return found


def _test(source: Source, names: list[str]) -> Json:
    ops = [op for op in Op if op in OPERATORS[source]]
    operands = {str(op): _operand(op) for op in ops}
    test = record((source, *ops), (source,), **{str(source): one_of(names)}, **operands)
    return {**test, "minProperties": 2, "maxProperties": 2}


def _operand(op: Op) -> Json:
    if op in TRUE_OPS:
        return {"const": True}
    if op in LIST_OPS:
        return WORDS
    return {"anyOf": [WORD, record(("policy",), ("policy",))]}


def rule() -> Json:
    """One rule."""
    each: Json = {"anyOf": [one_of(EACH), several(EACH)]}
    return record(
        RULE_KEYS,
        ("id", "title", "when", "then", "because"),
        id=KEBAB_ID,
        phase=one_of(Phase),
        basis=one_of(Basis),
        for_each=each,
        when=ref("condition"),
        then=ref("writes"),
        while_unknown={"anyOf": [{"const": "nothing"}, ref("writes")]},
        evidence=ref("evidence"),
        approved=DATE,
        review_by=DATE,
    )


def writes(book: Book) -> Json:
    """What stands under `then` and `while_unknown`."""
    properties: Json = {}
    for conclusion in book.conclusions.values():
        value = _value(book, conclusion.name)
        if Scope.CASE in conclusion.scopes:
            properties[conclusion.name] = value
        if Scope.SEGMENT in conclusion.scopes:
            properties[f"segment.{conclusion.name}"] = value
    properties["adjacent.limit"] = _value(book, "limit")
    return {
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "minProperties": 1,
    }


def _value(book: Book, name: str) -> Json:
    conclusion = book.conclusions[name]
    if name == "referral":
        one = record(
            REFERRAL_KEYS, ("to", "urgency"), to=one_of(conclusion.keys), urgency=one_of(URGENCIES)
        )
        return {"anyOf": [one, listed(one)]}
    if conclusion.keys:
        slots = {
            key: _word(conclusion.combine, conclusion.values_of(key)) for key in conclusion.keys
        }
        if name == "limit":
            slots["hands_on"] = {"const": "barred"}
        return {
            "type": "object",
            "properties": slots,
            "additionalProperties": False,
            "minProperties": 1,
        }
    if conclusion.combine == "set":
        return several(conclusion.values)
    return _word(conclusion.combine, conclusion.values)


def _word(combine: str, values: tuple[str, ...]) -> Json:
    return {"const": True} if combine == "flag" else one_of(values)
