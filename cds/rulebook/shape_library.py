"""The shape of what rules choose and cite: evidence, sources, texts, cards, exercises, the
positional table, and the defaults of a file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from cds.problems import Place
from cds.rulebook.book import Card, Evidence, Exercise, PositionalRow, SourceEntry, Text
from cds.rulebook.fields import (
    KEBAB,
    SNAKE,
    Fields,
    Sink,
    as_items,
    as_mapping,
    as_text,
)
from cds.rulebook.tree import Entry, Mapping, Node, Scalar
from cds.vocabulary.model import SIDES

DEFAULT_KEYS = ("topic", "owner", "approved", "review_by")
EVIDENCE_KEYS = ("source", "at", "common_practice", "from_memory")
SOURCE_KEYS = ("title", "year", "status", "where", "scheme")
TEXT_KEYS = ("say", "evidence")
CARD_KEYS = (
    "id", "title", "rungs", "pattern", "position", "positions", "lie_on", "side_bend", "rotate",
    "sagittal", "set_up", "effort", "dose", "feel", "stop", "if_not_tolerated", "instead_of",
    "evidence", "asymmetric", "owner", "review_by",
)  # fmt: skip
EXERCISE_KEYS = (
    "id", "title", "loads", "how", "dose", "stop", "evidence", "asymmetric", "owner", "review_by",
)  # fmt: skip
ROW_KEYS = (
    "row", "flexion", "neutral", "extension", "pattern", "flexed_side", "extended_side",
    "prominent_side", "restricted", "facet", "note",
)  # fmt: skip

STATUSES = ("read", "second_hand", "derived", "memory")
CARD_PATTERNS = (
    "flexed", "extended", "group", "bilateral_flexed", "bilateral_extended", "any",
)  # fmt: skip
SIDE_WORDS = ("{side}", "{other_side}")
BENDS = ("same", "opposite", *SIDE_WORDS)
SAGITTAL = ("flexion", "extension", "neutral")
PROMINENT = ("symmetric", *SIDES)
ROW_PATTERNS = (
    "none", "flexed", "extended", "flexed_and_extended", "group_if_three", "indeterminate",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Defaults:
    """What a file says once for its rules, cards and exercises."""

    topic: str = ""
    owner: str = ""
    approved: date | None = None
    review_by: date | None = None


def read_defaults(node: Node, sink: Sink) -> Defaults:
    """The `defaults` of one file."""
    mapping = as_mapping(node, "`defaults`", sink)
    if mapping is None:
        return Defaults()
    fields = Fields(mapping, "`defaults`", DEFAULT_KEYS, sink)
    return Defaults(
        topic=fields.text("topic", required=False),
        owner=fields.text("owner", required=False),
        approved=fields.day("approved"),
        review_by=fields.day("review_by"),
    )


def read_evidence(fields: Fields) -> tuple[Evidence, ...]:
    """The `evidence` of a thing; () when the key is missing (the checks say who owes it)."""
    node = fields.node("evidence")
    if node is None:
        return ()
    what = f"`evidence` of {fields.what}"
    found: list[Evidence] = []
    for item in as_items(node, what, fields.sink):
        mapping = as_mapping(item, f"an entry of {what}", fields.sink)
        if mapping is None:
            continue
        inner = Fields(mapping, f"an entry of {what}", EVIDENCE_KEYS, fields.sink)
        if ("source" in inner) == ("common_practice" in inner):
            fields.sink.error(
                "missing-key",
                f"an entry of {what} needs `source` or `common_practice`, not both",
                mapping.place,
            )
        found.append(
            Evidence(
                source=inner.word("source", required=False),
                at=inner.text("at", required=False) or None,
                common_practice=inner.text("common_practice", required=False) or None,
                from_memory=inner.flag("from_memory"),
                place=mapping.place,
            )
        )
    return tuple(found)


def read_source(entry: Entry, sink: Sink) -> SourceEntry | None:
    """One published source."""
    fields = _named(entry, "source", SOURCE_KEYS, sink)
    if fields is None:
        return None
    return SourceEntry(
        id=entry.key,
        title=fields.text("title"),
        year=fields.whole("year", low=1500),
        status=fields.word("status", STATUSES) or "",
        where=fields.text("where", required=False),
        scheme=fields.text("scheme", required=False),
        place=entry.key_place,
    )


def read_text(entry: Entry, sink: Sink) -> Text | None:
    """One sentence that rules choose."""
    fields = _named(entry, "text", TEXT_KEYS, sink)
    if fields is None:
        return None
    return Text(entry.key, fields.text("say"), read_evidence(fields), entry.key_place)


def _named(entry: Entry, what: str, keys: tuple[str, ...], sink: Sink) -> Fields | None:
    new = sink.declare(what, entry.key, entry.key_place)
    good = sink.identifier(entry.key, KEBAB, entry.key_place, what)
    node = as_mapping(entry.value, f"{what} `{entry.key}`", sink)
    if node is None or not (new and good):
        return None
    return Fields(node, f"{what} `{entry.key}`", keys, sink)


def identified(
    node: Node, what: str, keys: tuple[str, ...], sink: Sink
) -> tuple[str, Place, Fields] | None:
    """A list member with an `id` of its own: id, where it stands, its fields."""
    mapping = as_mapping(node, f"a {what}", sink)
    if mapping is None:
        return None
    written = mapping.get("id")
    name = as_text(written, f"`id` of a {what}", sink) if written is not None else ""
    fields = Fields(mapping, f"{what} `{name}`" if name else f"a {what}", keys, sink)
    if written is None:
        fields.node("id", required=True)
        return None
    new = bool(name) and sink.declare(what, name, written.place)
    good = bool(name) and sink.identifier(name, KEBAB, written.place, what)
    return (name, written.place, fields) if new and good else None


def read_card(node: Node, defaults: Defaults, sink: Sink) -> Card | None:
    """One technique card."""
    found = identified(node, "card", CARD_KEYS, sink)
    if found is None:
        return None
    name, place, fields = found
    return Card(
        id=name,
        title=fields.text("title"),
        rungs=fields.words("rungs", required=True),
        pattern=fields.word("pattern", CARD_PATTERNS) or "",
        position=fields.text("position"),
        positions=fields.words("positions", required=True),
        set_up=fields.texts("set_up", required=True),
        effort=fields.text("effort"),
        dose=_dose(fields),
        feel=fields.text("feel"),
        stop=fields.texts("stop", required=True),
        evidence=read_evidence(fields),
        lie_on=fields.word("lie_on", SIDE_WORDS, required=False),
        side_bend=fields.word("side_bend", BENDS, required=False),
        rotate=fields.word("rotate", BENDS, required=False),
        sagittal=fields.word("sagittal", SAGITTAL, required=False),
        if_not_tolerated=fields.text("if_not_tolerated", required=False),
        instead_of=fields.word("instead_of", required=False),
        asymmetric=fields.text("asymmetric", required=False) or None,
        owner=fields.text("owner", required=False) or defaults.owner,
        review_by=fields.day("review_by") or defaults.review_by,
        place=place,
    )


def _dose(fields: Fields) -> tuple[tuple[str, str], ...]:
    node = fields.node("dose", required=True)
    what = f"`dose` of {fields.what}"
    mapping = as_mapping(node, what, fields.sink) if node is not None else None
    if mapping is None:
        return ()
    for entry in mapping.entries:
        fields.sink.identifier(entry.key, SNAKE, entry.key_place, f"a word in {what}")
    return tuple(
        (entry.key, as_text(entry.value, f"`{entry.key}` in {what}", fields.sink))
        for entry in mapping.entries
    )


def read_exercise(node: Node, defaults: Defaults, sink: Sink) -> Exercise | None:
    """One home exercise."""
    found = identified(node, "exercise", EXERCISE_KEYS, sink)
    if found is None:
        return None
    name, place, fields = found
    return Exercise(
        id=name,
        title=fields.text("title"),
        loads=fields.words("loads", required=True, empty=True),
        how=fields.texts("how", required=True),
        dose=fields.text("dose"),
        stop=fields.texts("stop", required=True),
        evidence=read_evidence(fields),
        asymmetric=fields.text("asymmetric", required=False) or None,
        owner=fields.text("owner", required=False) or defaults.owner,
        review_by=fields.day("review_by") or defaults.review_by,
        place=place,
    )


def read_row(node: Node, sink: Sink) -> PositionalRow | None:
    """One row of the positional table; two rows never stand for the same three positions."""
    mapping = as_mapping(node, "a positional row", sink)
    if mapping is None:
        return None
    fields = Fields(mapping, "a positional row", ROW_KEYS, sink)
    number = fields.whole("row", required=True, low=1)
    three = [fields.word(key, PROMINENT) for key in ("flexion", "neutral", "extension")]
    pattern = fields.word("pattern", ROW_PATTERNS)
    if number is None or pattern is None or not all(three):
        return None
    numbered = sink.declare("positional row", str(number), mapping.place)
    flexion, neutral, extension = (word or "" for word in three)
    positions = f"{flexion}, {neutral}, {extension}"
    if not (sink.declare("positional row for", positions, mapping.place) and numbered):
        return None
    return PositionalRow(
        number=number,
        flexion=flexion,
        neutral=neutral,
        extension=extension,
        pattern=pattern,
        flexed_side=_side(mapping, "flexed_side", fields),
        extended_side=_side(mapping, "extended_side", fields),
        prominent_side=_side(mapping, "prominent_side", fields),
        restricted=fields.words("restricted", required=True, empty=True),
        facet=fields.text("facet"),
        note=_note(mapping, fields),
        place=mapping.place,
    )


def _side(mapping: Mapping, key: str, fields: Fields) -> str | None:
    """Left, right, or null for no such side; the key must stand."""
    node = mapping.get(key)
    if isinstance(node, Scalar) and node.value is None:
        return None
    return fields.word(key, SIDES)


def _note(mapping: Mapping, fields: Fields) -> str:
    node = mapping.get("note")
    if isinstance(node, Scalar) and not node.text:
        return ""
    return fields.text("note", required=False)
