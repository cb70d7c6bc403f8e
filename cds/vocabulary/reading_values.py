"""Reading the answers to one finding: short form, full form, or several dated full forms.

`"normal"`, `{"value": "normal", "observed": "2026-11-02"}`, `{"missing": "declined"}`, or a list of
such objects. A value may be partly known: `{"one_of": [..]}` for words; `{"at_least": n,
"at_most": m}`, `{"more_than": n}`, `{"less_than": n}` for numbers and dates; a date may be a year
or a month.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

from cds.vocabulary.case import HOW, Answer
from cds.vocabulary.model import Finding, Kind
from cds.vocabulary.reading_fields import (
    Fields,
    Sink,
    as_items,
    as_number,
    as_span,
    as_word,
)
from cds.vocabulary.values import Amount, Choice, Missing, Value

ANSWER_KEYS = ("value", "missing", "observed", "asked", "how", "by", "confirmations")
BOUNDS = ("at_least", "at_most", "more_than", "less_than")
MAX_CONFIRMATIONS = 1000
REASONS = tuple(Missing)


def read_answers(
    finding: Finding, value: object, pointer: str, sink: Sink, *, blocked: bool
) -> tuple[Answer, ...]:
    """The answers to one finding; `blocked`: whether a block may answer it."""
    what = f"`{finding.name}`"
    if isinstance(value, list):
        if not value:
            sink.error("empty-list", f"the answers to {what} need at least one member", pointer)
        found = [
            _full(finding, member, at, sink, blocked)
            for member, at in as_items(value, f"the answers to {what}", pointer, sink)
        ]
        return tuple(answer for answer in found if answer)
    answer: Answer | None
    if isinstance(value, dict):
        answer = _full(finding, value, pointer, sink, blocked)
    else:
        read = read_value(finding, value, pointer, sink)
        answer = _short(finding, read, pointer, sink.as_of) if read else None
    return (answer,) if answer else ()


def _short(finding: Finding, value: Value, pointer: str, today: date) -> Answer:
    return Answer(finding.name, value, None, today, today, raw=raw(finding, value), pointer=pointer)


def _full(
    finding: Finding, value: object, pointer: str, sink: Sink, blocked: bool
) -> Answer | None:
    before = len(sink.problems)
    fields = Fields(value, pointer, f"an answer to `{finding.name}`", ANSWER_KEYS, sink)
    if not isinstance(value, dict):
        return None
    known = missing = None
    if ("value" in fields) == ("missing" in fields):
        message = f"an answer to `{finding.name}` needs either `value` or `missing`"
        sink.error("value-or-missing", message, pointer)
    elif "value" in fields:
        known = read_value(finding, fields.get("value"), fields.at("value"), sink)
    else:
        missing = fields.word("missing", REASONS)
    stamp = read_stamp(fields, "asked")
    if stamp.how == "by_block" and not blocked:
        message = f"`{finding.name}` is never answered by a block"
        sink.error("asked-alone", message, fields.at("how"))
    if len(sink.problems) > before:
        return None
    return Answer(
        finding.name,
        known,
        Missing(missing) if missing else None,
        stamp.observed,
        stamp.asked,
        stamp.how,
        stamp.by,
        stamp.confirmations,
        raw(finding, known) if known else "",
        pointer,
    )


class Stamp:
    """When, how and by whom something was answered."""

    def __init__(
        self, observed: date, asked: date, how: str, by: str | None, confirmations: int
    ) -> None:
        self.observed = observed
        self.asked = asked
        self.how = how
        self.by = by
        self.confirmations = confirmations


def read_stamp(fields: Fields, how: str) -> Stamp:
    """Dates, way, person and confirmations of an answer, with `how` where it is not said.

    Without `observed`, it is the as-of date. Without `asked`, it is the as-of date for
    `confirmed_unchanged`, else the day it was observed.
    """
    sink = fields.sink
    said = fields.word("how", HOW) or how
    again = said == "confirmed_unchanged"
    observed = fields.day("observed") or sink.as_of
    asked = fields.day("asked") or (sink.as_of if again else observed)
    if asked < observed:
        message = f"`asked` of {fields.what} lies before `observed`"
        sink.error("date-order", message, fields.at("asked"))
    if again and "observed" not in fields:
        sink.error(
            "missing-key", f"{fields.what}, confirmed as unchanged, needs `observed`",
            fields.pointer, "send the day on which it was first asked",
        )  # fmt: skip
    count = fields.whole("confirmations", 1 if again else 0, MAX_CONFIRMATIONS)
    if count and not again:
        sink.error(
            "confirmations",
            f"`confirmations` of {fields.what} only go with `confirmed_unchanged`",
            fields.at("confirmations"),
        )
    return Stamp(observed, asked, said, fields.text("by"), count or (1 if again else 0))


def read_value(finding: Finding, value: object, pointer: str, sink: Sink) -> Value | None:
    """One value of the finding, exact or partly known."""
    what = f"`{finding.name}`"
    if isinstance(value, dict):
        return _partly(finding, value, pointer, sink)
    if finding.kind is Kind.DATE:
        span = as_span(value, what, pointer, sink)
        return Amount(span[0].toordinal(), span[1].toordinal()) if span else None
    if finding.numeric:
        steps = _steps(finding, value, pointer, sink)
        return None if steps is None else Amount(steps, steps)
    word = as_word(value, finding.values, what, pointer, sink)
    return Choice((word,)) if word else None


def _partly(finding: Finding, value: object, pointer: str, sink: Sink) -> Value | None:
    what = f"a partly known `{finding.name}`"
    before = len(sink.problems)
    if not finding.numeric:
        fields = Fields(value, pointer, what, ("one_of",), sink)
        if not fields.owed("one_of"):
            return None
        words = [
            as_word(member, finding.values, f"`{finding.name}`", at, sink)
            for member, at in fields.items("one_of") or []
        ]
        if len(sink.problems) > before:
            return None
        if not words or len(set(words)) != len(words):
            sink.error(
                "bad-interval", f"`one_of` of {what} names different values", fields.at("one_of")
            )
            return None
        return Choice(tuple(word for word in finding.values if word in words))
    fields = Fields(value, pointer, what, BOUNDS, sink)
    low = _bound(finding, fields, "at_least", "more_than", 1)
    high = _bound(finding, fields, "at_most", "less_than", -1)
    if len(sink.problems) > before:
        return None
    if low is None and high is None:
        sink.error("bad-interval", f"{what} needs a bound", pointer)
    elif low is not None and high is not None and low > high:
        sink.error("bad-interval", f"{what} leaves no possible value", pointer)
    else:
        return Amount(low, high)
    return None


def _bound(finding: Finding, fields: Fields, at: str, beyond: str, sign: int) -> int | None:
    """The inclusive bound in steps; `sign` 1 for the low end, -1 for the high end."""
    if at in fields and beyond in fields:
        message = f"{fields.what} cannot have both `{at}` and `{beyond}`"
        fields.sink.error("one-of-two", message, fields.pointer)
    for key, shift in ((at, 0), (beyond, sign)):
        if key not in fields:
            continue
        if finding.kind is Kind.DATE:
            what = f"`{key}` of {fields.what}"
            span = as_span(fields.get(key), what, fields.at(key), fields.sink)
            if span is None:
                return None
            # at least 2026-03 begins with its first day, more than 2026-03 after its last
            bound = span[0 if (sign > 0) == (not shift) else 1].toordinal() + shift
            possible = 1 <= bound <= fields.sink.as_of.toordinal()
        else:
            steps = _steps(finding, fields.get(key), fields.at(key), fields.sink)
            if steps is None:
                return None
            bound = steps + shift
            possible = _inside(finding, finding.number(bound))
        if possible:
            return bound
        message = f"`{key}` of {fields.what} leaves no possible value"
        fields.sink.error("bad-interval", message, fields.at(key))
    return None


def _steps(finding: Finding, value: object, pointer: str, sink: Sink) -> int | None:
    what = f"`{finding.name}`"
    number = as_number(value, what, pointer, sink)
    if number is None:
        return None
    if not _inside(finding, number):
        message = f"{what} must lie {_range(lowest(finding), finding.high)}"
        sink.error("out-of-range", message, pointer)
        return None
    quotient = Fraction(number) / Fraction(finding.step)
    if quotient.denominator != 1:
        sink.error("not-whole-step", f"{what} goes in steps of {finding.step}", pointer)
        return None
    return quotient.numerator


def lowest(finding: Finding) -> Decimal | None:
    """The least plausible number: as declared, else 0 for a count."""
    return Decimal(0) if finding.low is None and finding.kind is Kind.COUNT else finding.low


def _inside(finding: Finding, number: Decimal) -> bool:
    low, high = lowest(finding), finding.high
    return (low is None or low <= number) and (high is None or number <= high)


def _range(low: Decimal | None, high: Decimal | None) -> str:
    if low is None:
        return f"at or below {high}"
    return f"at or above {low}" if high is None else f"between {low} and {high}"


def raw(finding: Finding, value: Value) -> str:
    """A value as text for showing: `normal`, `altered or normal`, `-2.1`, `3 to 5`, `2026-03`."""
    if isinstance(value, Choice):
        return " or ".join(value.options)
    low, high = number_text(finding, value.low), number_text(finding, value.high)
    if low is None:
        return f"at most {high}"
    if high is None:
        return f"at least {low}"
    return low if low == high else f"{low} to {high}"


def number_text(finding: Finding, steps: int | None) -> str | None:
    """Steps as a plain decimal (`-2.1`), or as a date for a date finding; None stays None."""
    if steps is None:
        return None
    if finding.kind is Kind.DATE:
        return date.fromordinal(steps).isoformat()
    return format(finding.number(steps), "f")
