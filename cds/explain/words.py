"""Plain sentences for tests and values, generated from the rule book's own titles."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from cds.rulebook.conditions import Leaf, Source
from cds.rulebook.program import Instance, Program, ReadLeaf
from cds.vocabulary.model import NAMELESS, SIDES, Feature, Finding, Kind
from cds.vocabulary.values import Amount, Choice, Input, NotApplicable, Op

_PHRASE = {
    Op.IS: "is",
    Op.IS_NOT: "is not",
    Op.IN: "is one of",
    Op.AT_LEAST: "is at least",
    Op.MORE_THAN: "is more than",
    Op.AT_MOST: "is at most",
    Op.LESS_THAN: "is less than",
    Op.KNOWN: "is recorded",
    Op.HOLDS: "holds",
    Op.HAS: "has",
    Op.HAS_ANY_OF: "has any of",
    Op.EMPTY: "is empty",
}

_UNITS = {
    "a": "years", "d": "days", "1": "", "mo": "months", "wk": "weeks", "{points}": "points",
}  # fmt: skip


def word(text: str) -> str:
    """A vocabulary word for people: underscores become spaces."""
    return text.replace("_", " ")


def declared(program: Program, name: str) -> Finding | Feature | None:
    """The finding or feature behind a grounded or bare name, if it is one."""
    base = name.partition("@")[0]
    return program.findings.get(base) or program.features.get(base)


def title_of(program: Program, name: str) -> str:
    """The short title of a finding, feature, conclusion or slot (`limit.thrust@L5`)."""
    base, _, level = name.partition("@")
    known = declared(program, base)
    if known is not None:
        title = known.title
    else:
        conclusion, _, key = base.removeprefix("segment.").partition(".")
        entry = program.conclusions.get(conclusion)
        title = entry.title if entry else word(base)
        if key:
            title = f"{title}: {word(key)}"
    if not level:
        return title
    if level == NAMELESS:
        return f"{title.replace('this level', 'the level')}, no level named yet"
    if "this level" in title:
        return title.replace("this level", level)
    return f"{title} at {level}"


def number_text(number: Decimal) -> str:
    """A decimal without an exponent or trailing zeros."""
    text = format(number.normalize(), "f")
    return "0" if text in ("-0", "") else text


def amount_text(known: Finding | Feature | None, steps: int) -> str:
    """Whole steps as the number people write; dates as ISO dates."""
    if known is not None and known.kind is Kind.DATE:
        return date.fromordinal(steps).isoformat()
    return number_text(known.number(steps)) if known is not None else str(steps)


def value_text(program: Program, name: str, value: Input) -> str:
    """A value for people: `altered`, `62`, `60 to 64`, `left or right`, `does not apply`."""
    if isinstance(value, NotApplicable):
        return "does not apply"
    if isinstance(value, Choice):
        return " or ".join(word(option) for option in value.options)
    known = declared(program, name)
    if value.exact is not None:
        return amount_text(known, value.exact)
    low = None if value.low is None else amount_text(known, value.low)
    high = None if value.high is None else amount_text(known, value.high)
    if low is None:
        return f"at most {high}" if high is not None else "some number"
    return f"at least {low}" if high is None else f"{low} to {high}"


def leaf_text(program: Program, leaf: Leaf, level: str | None, side: str | None) -> str:
    """One written test as a phrase: `Saddle sensation is altered`."""
    name = f"{leaf.name}@{level}" if level and leaf.name.startswith("segment.") else leaf.name
    phrase = f"{title_of(program, name)} {_PHRASE[leaf.op]}"
    if leaf.source is Source.POLICY:
        choice = program.policy.get(leaf.name)
        phrase = f"Local policy '{choice.title if choice else leaf.name}' {_PHRASE[leaf.op]}"
    if leaf.op in (Op.KNOWN, Op.HOLDS, Op.EMPTY):
        return phrase
    if leaf.op is Op.IS and leaf.words in (("yes",), ("no",)):
        return f"{title_of(program, name)}: {leaf.words[0]}"
    if leaf.number is not None:
        known = declared(program, leaf.name)
        unit = known.unit if known is not None else None
        return f"{phrase} {number_text(leaf.number)} {_unit_text(unit or '1')}".rstrip()
    return f"{phrase} {' or '.join(word(filled(w, level, side)) for w in leaf.words)}"


class Phrases:
    """The tests of one program's rules in words, each put together once.

    Words depend on program and instance alone, so they are kept from case to case. What is read is
    known by its identity: every `ReadLeaf` belongs to one instance and lives as long as the
    program, which is held here; comparing whole tests would cost what is saved.
    """

    def __init__(self, program: Program) -> None:
        self.program = program
        self._said: dict[int, str] = {}

    def of(self, instance: Instance, read: ReadLeaf) -> str:
        """`leaf_text` of one of the instance's reads."""
        found = self._said.get(id(read))
        if found is None:
            found = leaf_text(self.program, read.leaf, instance.level, instance.side)
            self._said[id(read)] = found
        return found


def _unit_text(unit: str) -> str:
    """A UCUM unit for people; an annotation in braces that has no word here is no unit at all."""
    return _UNITS.get(unit, "" if unit.startswith("{") else unit)


def measured(program: Program, name: str, text: str) -> str:
    """A number with the unit of its finding or feature: `20 days`."""
    known = declared(program, name)
    if known is None or not known.numeric or known.unit is None:
        return text
    unit = _unit_text(known.unit)
    if text == "1" and unit.endswith("s"):
        unit = unit[:-1]
    return f"{text} {unit}".rstrip()


def filled(text: str, level: str | None, side: str | None) -> str:
    """Placeholders `{side}`, `{other_side}`, `{level}` filled in."""
    if "{" not in text:
        return text
    if side is not None:
        other = SIDES[1 - SIDES.index(side)]
        text = text.replace("{side}", side).replace("{other_side}", other)
    if level is not None:
        text = text.replace("{level}", level)
    return text


def input_json(program: Program, name: str, value: Input) -> dict[str, object]:
    """One chain input: exact word or decimal string, or its bounds."""
    if isinstance(value, NotApplicable):
        return {"name": name, "not_applicable": True}
    if isinstance(value, Choice):
        if value.exact is not None:
            return {"name": name, "value": value.exact}
        return {"name": name, "one_of": list(value.options)}
    known = declared(program, name)
    if value.exact is not None:
        return {"name": name, "value": amount_text(known, value.exact)}
    found: dict[str, object] = {"name": name}
    if value.low is not None:
        found["low"] = amount_text(known, value.low)
    if value.high is not None:
        found["high"] = amount_text(known, value.high)
    return found


def input_of(program: Program, entry: dict[str, object]) -> Input | None:
    """The value behind `input_json`'s result, or None when it is not one."""
    known = declared(program, str(entry.get("name", "")))
    if known is None:
        return None
    if entry.get("not_applicable") is True:
        return NotApplicable.NOT_APPLICABLE
    if not known.numeric:
        if isinstance(entry.get("value"), str):
            options: tuple[object, ...] = (entry["value"],)
        else:
            listed = entry.get("one_of")
            options = tuple(listed) if isinstance(listed, list) else ()
        words = tuple(str(option) for option in options)
        allowed = known.values
        return Choice(words) if words and all(w in allowed for w in words) else None

    def steps(text: object) -> int | None:
        if not isinstance(text, str):
            return None
        try:
            if known.kind is Kind.DATE:
                return date.fromisoformat(text).toordinal()
            return known.steps(Decimal(text))
        except (ValueError, ArithmeticError):
            return None

    if "value" in entry:
        exact = steps(entry["value"])
        return None if exact is None else Amount(exact, exact)
    low, high = steps(entry.get("low")), steps(entry.get("high"))
    if (low is None and "low" in entry) or (high is None and "high" in entry):
        return None  # a bound that cannot be read is not a bound left open
    return None if low is None and high is None else Amount(low, high)
