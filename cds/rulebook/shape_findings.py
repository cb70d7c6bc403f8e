"""The shape of findings and blocks, and how long an answer is good for."""

from __future__ import annotations

from collections.abc import Mapping as Lookup
from decimal import Decimal

from cds.rulebook.book import Block, PolicyChoice, VisitPart
from cds.rulebook.conditions import Condition
from cds.rulebook.fields import (
    SNAKE,
    Fields,
    Sink,
    as_decimal,
    as_items,
    as_mapping,
    as_whole,
    as_word,
    as_words,
    wrong,
)
from cds.rulebook.shape_conditions import read_condition
from cds.rulebook.tree import Entry, Mapping, Node, Scalar
from cds.vocabulary.model import Finding, GoodFor, Kind, Scope

FINDING_KEYS = (
    "ask", "title", "kind", "values", "ordered", "adverse", "positive_from", "unit", "step",
    "range", "ask_alone", "block", "good_for", "voided_by", "ends_by", "unchanged",
    "applies_when", "mirror",
)  # fmt: skip
BLOCK_KEYS = ("ask", "findings")
VISIT_KEYS = ("part", "title", "how", "asks")
HOW = ("asked", "examined", "told")
ENDS_BY = ("specialist", "imaging", "examined", "asked")
PERIODS = ("this_session", "episode", "life")
DIRECTIONS = ("up", "down")

_ONLY_FOR: dict[str, frozenset[Kind]] = {
    "values": frozenset({Kind.CHOICE}),
    "ordered": frozenset({Kind.CHOICE}),
    "mirror": frozenset({Kind.CHOICE}),
    "unit": frozenset({Kind.NUMBER, Kind.COUNT, Kind.SCORE}),
    "step": frozenset({Kind.NUMBER}),
    "range": frozenset({Kind.NUMBER, Kind.COUNT, Kind.SCORE}),
    "positive_from": frozenset({Kind.NUMBER, Kind.COUNT, Kind.SCORE}),
}
_OWED_BY: dict[str, frozenset[Kind]] = {
    "values": frozenset({Kind.CHOICE}),
    "unit": frozenset({Kind.NUMBER}),
    "range": frozenset({Kind.NUMBER, Kind.SCORE}),
}


def read_finding(entry: Entry, policy: Lookup[str, PolicyChoice], sink: Sink) -> Finding | None:
    """One finding; None after a problem that leaves nothing to build."""
    name, what = entry.key, f"finding `{entry.key}`"
    bare = name.removeprefix("segment.")
    new = sink.declare("finding", name, entry.key_place)
    good = sink.identifier(bare, SNAKE, entry.key_place, "finding")
    node = as_mapping(entry.value, what, sink)
    if node is None or not (new and good):
        return None
    fields = Fields(node, what, FINDING_KEYS, sink)
    word = fields.word("kind", tuple(Kind))
    if word is None:
        return None
    kind = Kind(word)
    _kind_keys(fields, kind)
    values = ("no", "yes") if kind is Kind.PRESENCE else fields.words("values")
    written = fields.decimal("step")
    step = Decimal(1) if written is None else written
    low, high = _range(fields, step)
    unchanged, not_with = _unchanged(fields)
    return Finding(
        name=name,
        kind=kind,
        ask=fields.text("ask"),
        title=fields.text("title"),
        scope=Scope.SEGMENT if name.startswith("segment.") else Scope.CASE,
        values=values if kind in (Kind.PRESENCE, Kind.CHOICE) else (),
        ordered=fields.flag("ordered"),
        adverse=_adverse(fields, kind, values),
        positive_from=_positive_from(fields, step, low, high),
        unit=fields.text("unit", required=False) or None,
        step=step,
        low=low,
        high=high,
        ask_alone=fields.flag("ask_alone"),
        block=fields.word("block", required=False),
        good_for=_good_for(fields),
        voided_by=fields.words("voided_by"),
        ends_by=fields.words("ends_by", ENDS_BY),
        unchanged=unchanged,
        unchanged_not_with=not_with,
        applies_when=_applies_when(fields, what, policy),
        mirror=_mirror(fields, values),
        place=entry.key_place,
    )


def read_block(entry: Entry, sink: Sink) -> Block | None:
    """Findings asked together; None after a problem."""
    what = f"block `{entry.key}`"
    new = sink.declare("block", entry.key, entry.key_place)
    good = sink.identifier(entry.key, SNAKE, entry.key_place, "block")
    node = as_mapping(entry.value, what, sink)
    if node is None or not (new and good):
        return None
    fields = Fields(node, what, BLOCK_KEYS, sink)
    findings = fields.words("findings", required=True)
    return Block(entry.key, fields.text("ask"), findings, entry.key_place)


def read_visit_part(node: Node, sink: Sink) -> VisitPart | None:
    """One part of a visit; None after a problem."""
    mapping = as_mapping(node, "a part of the visit", sink)
    if mapping is None:
        return None
    fields = Fields(mapping, "a part of the visit", VISIT_KEYS, sink)
    name = fields.word("part", required=True)
    how = fields.word("how", HOW)
    if name is None or how is None:
        return None
    new = sink.declare("part of the visit", name, mapping.place)
    good = sink.identifier(name, SNAKE, mapping.place, "part of the visit")
    asks = fields.words("asks", required=True)
    title = fields.text("title")
    return VisitPart(name, title, how, asks, mapping.place) if new and good else None


def _kind_keys(fields: Fields, kind: Kind) -> None:
    for key, kinds in _ONLY_FOR.items():
        if key in fields and kind not in kinds:
            fields.sink.error(
                "misplaced-key",
                f"{fields.what} is a {kind}, which has no `{key}`",
                fields.key_place(key),
            )
    for key, kinds in _OWED_BY.items():
        if kind in kinds and key not in fields:
            fields.node(key, required=True)


def _range(fields: Fields, step: Decimal) -> tuple[Decimal | None, Decimal | None]:
    sink, what = fields.sink, f"`range` of {fields.what}"
    if step <= 0:
        sink.error("bad-number", f"`step` of {fields.what} must be above 0", fields.place)
        return None, None
    node = fields.node("range")
    if node is None:
        return None, None
    ends = [as_decimal(item, what, sink) for item in as_items(node, what, sink)]
    if len(ends) != 2:
        sink.error("bad-bounds", f"{what} must have two ends", node.place)
        return None, None
    low, high = ends
    if low is None or high is None:
        return None, None
    if low > high or low % step or high % step:
        sink.error("bad-bounds", f"{what} must be low to high in whole steps of {step}", node.place)
    return low, high


def _adverse(fields: Fields, kind: Kind, values: tuple[str, ...]) -> tuple[str, ...]:
    node = fields.node("adverse")
    if node is None:
        return ()
    what = f"`adverse` of {fields.what}"
    if kind in (Kind.PRESENCE, Kind.CHOICE):
        return as_words(node, what, fields.sink, values)
    return (as_word(node, what, fields.sink, DIRECTIONS),)


def _positive_from(
    fields: Fields, step: Decimal, low: Decimal | None, high: Decimal | None
) -> Decimal | None:
    number = fields.decimal("positive_from")
    if number is None:
        return None
    what = f"`positive_from` of {fields.what}"
    if "adverse" not in fields:
        place = fields.key_place("positive_from")
        fields.sink.error("misplaced-key", f"{what} needs `adverse`, up or down", place)
    inside = (low is None or low <= number) and (high is None or number <= high)
    if not inside or (step > 0 and number % step):
        message = f"{what} must be a whole step inside `range`"
        fields.sink.error("bad-number", message, fields.key_place("positive_from"))
    return number


def _unchanged(fields: Fields) -> tuple[bool, tuple[str, ...]]:
    node = fields.node("unchanged")
    if node is None:
        return True, ()
    if isinstance(node, Scalar) and isinstance(node.value, bool):
        return node.value, ()
    if not isinstance(node, Mapping):
        wrong(node, f"`unchanged` of {fields.what}", "true, false or {not_with: [..]}", fields.sink)
        return True, ()
    inner = Fields(node, f"`unchanged` of {fields.what}", ("not_with",), fields.sink)
    return True, inner.words("not_with", required=True)


def _good_for(fields: Fields) -> GoodFor:
    node = fields.node("good_for")
    return GoodFor() if node is None else _period(node, fields.what, fields.sink, with_=True)


def _period(node: Node, what: str, sink: Sink, *, with_: bool = False) -> GoodFor:
    name = f"`good_for` of {what}"
    if isinstance(node, Scalar):
        word = node.text
        if word not in PERIODS:
            sink.error("bad-period", f"{name} cannot be `{word}`", node.place)
        return GoodFor(this_session=word == "this_session", episode=word == "episode")
    mapping = as_mapping(node, name, sink)
    if mapping is None:
        return GoodFor()
    keys = ("days", "months", "with") if with_ else ("days", "months")
    fields = Fields(mapping, name, keys, sink)
    if ("days" in fields) == ("months" in fields):
        sink.error("bad-period", f"{name} must have either `days` or `months`", mapping.place)
    tighter = fields.node("with")
    pairs: list[tuple[str, GoodFor]] = []
    if tighter is not None:
        inner = as_mapping(tighter, f"`with` in {name}", sink)
        entries = inner.entries if inner else ()
        pairs = [(entry.key, _period(entry.value, what, sink)) for entry in entries]
    return GoodFor(
        days=fields.whole("days", low=1),
        months=fields.whole("months", low=1),
        with_=tuple(sorted(pairs, key=lambda pair: pair[0])),
    )


def _applies_when(fields: Fields, what: str, policy: Lookup[str, PolicyChoice]) -> Condition | None:
    node = fields.node("applies_when")
    if node is None:
        return None
    return read_condition(node, f"`applies_when` of {what}", policy, fields.sink)


def _mirror(fields: Fields, values: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Pairs of values that change places when left and right do; each pair must come back."""
    node = fields.node("mirror")
    if node is None:
        return ()
    what = f"`mirror` of {fields.what}"
    mapping = as_mapping(node, what, fields.sink)
    pairs: dict[str, str] = {}
    for entry in mapping.entries if mapping else ():
        as_word(_word_node(entry), what, fields.sink, values)
        pairs[entry.key] = as_word(entry.value, what, fields.sink, values)
    for left, right in pairs.items():
        if right and pairs.get(right) != left:
            fields.sink.error(
                "bad-mirror", f"{what} sends `{left}` to `{right}` but not back", node.place
            )
    return tuple(sorted(pairs.items()))


def _word_node(entry: Entry) -> Scalar:
    return Scalar(entry.key_place, entry.key, entry.key, quoted=True)


def read_parameter(entry: Entry, known: tuple[str, ...], sink: Sink) -> tuple[str, int] | None:
    """A whole number that features read."""
    name = as_word(_word_node(entry), "a parameter", sink, known)
    sink.declare("parameter", entry.key, entry.key_place)
    value = as_whole(entry.value, f"parameter `{entry.key}`", sink, 1)
    return (name, value) if name and value is not None else None
