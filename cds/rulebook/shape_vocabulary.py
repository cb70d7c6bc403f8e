"""The shape of what conclusions are made of: destinations, concerns, the ladder, policy choices and
the book's own conclusions."""

from __future__ import annotations

from cds.rulebook.book import PolicyChoice
from cds.rulebook.fields import (
    SNAKE,
    Fields,
    Sink,
    as_items,
    as_mapping,
    as_text,
    as_whole,
    as_word,
    hint,
    spoken,
)
from cds.rulebook.shape_library import read_evidence
from cds.rulebook.tree import Entry, Node
from cds.vocabulary.core import CORE_NAMES
from cds.vocabulary.model import Careful, Combine, Conclusion, Family, Ladder, Rung, Scope

CONCLUSION_KEYS = (
    "title", "combine", "scope", "values", "otherwise", "careful", "output", "keys",
)  # fmt: skip
LADDER_KEYS = ("rungs", "families")
RUNG_KEYS = ("title", "gate")
FAMILY_KEYS = ("title", "group", "limits", "rungs")
POLICY_KEYS = ("title", "value", "values", "range", "reason", "evidence", "refused")
GROUPS = ("hands_on", "home", "position")
SCOPES = {
    "case": (Scope.CASE,),
    "segment": (Scope.SEGMENT,),
    "both": (Scope.CASE, Scope.SEGMENT),
}
SCALES = (Combine.WORST, Combine.HIGHEST, Combine.LOWEST)


def read_titles(node: Node, space: str, sink: Sink) -> dict[str, str]:
    """Names with a title each (destinations, concerns)."""
    mapping = as_mapping(node, f"`{space}`", sink)
    names: dict[str, str] = {}
    for entry in mapping.entries if mapping else ():
        new = sink.declare(space.removesuffix("s"), entry.key, entry.key_place)
        good = sink.identifier(entry.key, SNAKE, entry.key_place, f"the name in `{space}`")
        title = as_text(entry.value, f"the title of `{entry.key}`", sink)
        if new and good:
            names[entry.key] = title
    return names


def read_ladder(node: Node, sink: Sink) -> Ladder | None:
    """Rungs from the least upward and families, both in written order, which has meaning here."""
    mapping = as_mapping(node, "`ladder`", sink)
    if mapping is None:
        return None
    fields = Fields(mapping, "`ladder`", LADDER_KEYS, sink)
    rungs_node = fields.node("rungs", required=True)
    families_node = fields.node("families", required=True)
    if rungs_node is None or families_node is None:
        return None
    rungs_map = as_mapping(rungs_node, "`rungs` of `ladder`", sink)
    families_map = as_mapping(families_node, "`families` of `ladder`", sink)
    if rungs_map is None or families_map is None:
        return None
    read_rungs = [_rung(entry, sink) for entry in rungs_map.entries]
    rungs = tuple(rung for rung in read_rungs if rung is not None)
    names = tuple(entry.key for entry in rungs_map.entries)
    read_families = [_family(entry, names, sink) for entry in families_map.entries]
    families = tuple(family for family in read_families if family is not None)
    return Ladder(rungs, families)


def _rung(entry: Entry, sink: Sink) -> Rung | None:
    what = f"rung `{entry.key}`"
    good = sink.identifier(entry.key, SNAKE, entry.key_place, "rung")
    mapping = as_mapping(entry.value, what, sink)
    if mapping is None or not good:
        return None
    fields = Fields(mapping, what, RUNG_KEYS, sink)
    return Rung(entry.key, fields.text("title"), fields.texts("gate", empty=True))


def _family(entry: Entry, rungs: tuple[str, ...], sink: Sink) -> Family | None:
    what = f"family `{entry.key}`"
    good = sink.identifier(entry.key, SNAKE, entry.key_place, "family")
    mapping = as_mapping(entry.value, what, sink)
    if mapping is None or not good:
        return None
    fields = Fields(mapping, what, FAMILY_KEYS, sink)
    group = fields.word("group", GROUPS)
    limits = fields.words("limits", required=True)
    if limits and (limits[0] != "barred" or len(limits) < 2):
        place = fields.key_place("limits")
        sink.error("unknown-word", f"`limits` of {what} must begin with `barred` and go up", place)
    needs: list[tuple[str, str]] = []
    if "rungs" in fields and group != "hands_on":
        place = fields.key_place("rungs")
        sink.error("misplaced-key", f"{what} is not hands-on, so it has no `rungs`", place)
    node = fields.node("rungs", required=group == "hands_on")
    inner = as_mapping(node, f"`rungs` of {what}", sink) if node is not None else None
    for step in inner.entries if inner else ():
        if step.key not in rungs:
            sink.error(
                "unknown-word",
                f"`{step.key}` in {what} is no rung; rungs: {spoken(rungs)}",
                step.key_place,
                hint(step.key, rungs),
            )
        need = as_word(step.value, f"the limit for `{step.key}` in {what}", sink, limits)
        needs.append((step.key, need))
    return Family(entry.key, fields.text("title"), group or "", limits, tuple(needs))


def read_policy(entry: Entry, sink: Sink) -> PolicyChoice | None:
    """One policy choice: a word of its `values`, or a whole number within its `range`."""
    what = f"policy `{entry.key}`"
    new = sink.declare("policy", entry.key, entry.key_place)
    good = sink.identifier(entry.key, SNAKE, entry.key_place, "policy")
    mapping = as_mapping(entry.value, what, sink)
    if mapping is None or not (new and good):
        return None
    fields = Fields(mapping, what, POLICY_KEYS, sink)
    if ("values" in fields) == ("range" in fields):
        message = f"{what} needs `values` or `range`, not both"
        sink.error("missing-key", message, entry.key_place)
        return None
    node = fields.node("value", required=True)
    values = fields.words("values")
    low, high = _whole_range(fields)
    refused = _refused(fields)
    title, reason, evidence = fields.text("title"), fields.text("reason"), read_evidence(fields)
    if node is None:
        return None
    value = _value(node, values, low, high, what, sink)
    if value is None:
        return None
    if str(value) in dict(refused):
        sink.error(
            "policy-value", f"{what} refuses `{value}`", node.place, dict(refused)[str(value)]
        )
    return PolicyChoice(
        entry.key, title, value, values, low, high, reason, evidence, refused, entry.key_place
    )


def _value(
    node: Node, values: tuple[str, ...], low: int | None, high: int | None, what: str, sink: Sink
) -> str | int | None:
    if values:
        word = as_word(node, f"`value` of {what}", sink)
        if word and word not in values:
            message = f"`value` of {what} cannot be `{word}`; it is one of {spoken(values)}"
            sink.error("policy-value", message, node.place, hint(word, values))
        return word or None
    whole = as_whole(node, f"`value` of {what}", sink)
    if whole is None or low is None or high is None:
        return None
    if not low <= whole <= high:
        message = f"`value` of {what} must be {low} to {high}"
        sink.error("policy-value", message, node.place)
    return whole


def _whole_range(fields: Fields) -> tuple[int | None, int | None]:
    node = fields.node("range")
    if node is None:
        return None, None
    what = f"`range` of {fields.what}"
    ends = [as_whole(item, what, fields.sink) for item in as_items(node, what, fields.sink)]
    if len(ends) != 2:
        fields.sink.error("bad-bounds", f"{what} must have two ends", node.place)
        return None, None
    low, high = ends
    if low is not None and high is not None and low > high:
        fields.sink.error("bad-bounds", f"{what} must be low to high", node.place)
    return low, high


def _refused(fields: Fields) -> tuple[tuple[str, str], ...]:
    """Values that may not be chosen, each with why; they stand apart from `values`."""
    node = fields.node("refused")
    if node is None:
        return ()
    what = f"`refused` of {fields.what}"
    mapping = as_mapping(node, what, fields.sink)
    return tuple(
        (entry.key, as_text(entry.value, f"`{entry.key}` in {what}", fields.sink))
        for entry in (mapping.entries if mapping else ())
    )


def read_conclusion(entry: Entry, sink: Sink) -> Conclusion | None:
    """One conclusion of the book's own."""
    what = f"conclusion `{entry.key}`"
    if entry.key in CORE_NAMES:
        sink.error("duplicate-id", f"{what} is built in", entry.key_place, "choose another name")
        return None
    new = sink.declare("conclusion", entry.key, entry.key_place)
    good = sink.identifier(entry.key, SNAKE, entry.key_place, "conclusion")
    mapping = as_mapping(entry.value, what, sink)
    if mapping is None or not (new and good):
        return None
    fields = Fields(mapping, what, CONCLUSION_KEYS, sink)
    word = fields.word("combine", tuple(Combine))
    if word is None:
        return None
    combine = Combine(word)
    _combine_keys(fields, combine)
    values = fields.words("values", required=combine is not Combine.FLAG)
    otherwise = None
    if combine in SCALES:
        otherwise = fields.word("otherwise", values)
    return Conclusion(
        name=entry.key,
        title=fields.text("title"),
        combine=combine,
        scopes=SCOPES[fields.word("scope", tuple(SCOPES), required=False) or "case"],
        keys=fields.words("keys"),
        values=values if combine is not Combine.FLAG else (),
        otherwise=otherwise,
        careful=Careful(fields.word("careful", tuple(Careful), required=False) or "neutral"),
        output=fields.flag("output"),
        place=entry.key_place,
    )


def _combine_keys(fields: Fields, combine: Combine) -> None:
    wrong = []
    if combine is Combine.FLAG and "values" in fields:
        wrong.append("values")
    if combine not in SCALES and "otherwise" in fields:
        wrong.append("otherwise")
    for key in wrong:
        fields.sink.error(
            "misplaced-key",
            f"{fields.what} is a {combine}, which has no `{key}`",
            fields.key_place(key),
        )


def read_head(node: Node, sink: Sink) -> tuple[str, tuple[str, ...]]:
    """`book`: the title and the scope notice."""
    mapping = as_mapping(node, "`book`", sink)
    if mapping is None:
        return "", ()
    fields = Fields(mapping, "`book`", ("title", "scope"), sink)
    return fields.text("title"), fields.texts("scope", required=True)
