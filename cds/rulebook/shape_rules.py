"""The shape of rules and of what they write."""

from __future__ import annotations

from collections.abc import Mapping as Lookup
from dataclasses import dataclass

from cds.problems import Place
from cds.rulebook.book import Basis, Phase, PolicyChoice, Rule, Write
from cds.rulebook.conditions import Condition
from cds.rulebook.fields import (
    Fields,
    Sink,
    as_mapping,
    as_text,
    as_word,
    kind_of,
)
from cds.rulebook.shape_conditions import read_condition
from cds.rulebook.shape_library import Defaults, identified, read_evidence
from cds.rulebook.tree import Entry, Mapping, Node, Scalar, Sequence
from cds.vocabulary.model import URGENCIES, Combine, Conclusion

RULE_KEYS = (
    "id", "title", "topic", "phase", "basis", "for_each", "when", "then", "while_unknown",
    "because", "evidence", "owner", "approved", "review_by", "asymmetric",
)  # fmt: skip
REFERRAL_KEYS = ("to", "urgency", "within")
EACH = ("segment", "side")
FLAG = "yes"
"""What a rule writes to a flag."""

REACHES = ("segment", "adjacent")
"""Prefixes of a written name: this level, the levels directly above and below."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What the whole book declares and rules are read against."""

    policy: Lookup[str, PolicyChoice]
    conclusions: Lookup[str, Conclusion]
    hands_on: tuple[str, ...]


def read_rule(node: Node, defaults: Defaults, setting: Setting, sink: Sink) -> Rule | None:
    """One rule; None after a problem that leaves nothing to build.

    A missing owner, review date, evidence or `while_unknown` stays empty: the checks say of which
    rules they are owed.
    """
    found = identified(node, "rule", RULE_KEYS, sink)
    if found is None:
        return None
    name, place, fields = found
    when = _when(fields, setting)
    then = fields.node("then", required=True)
    writes = () if then is None else _writes(then, f"`then` of {fields.what}", setting, sink)
    holds, said = _holds(fields, setting)
    phase = fields.word("phase", tuple(Phase), required=False)
    basis = fields.word("basis", tuple(Basis), required=False)
    title, because = fields.text("title"), fields.text("because")
    if when is None:
        return None
    return Rule(
        id=name,
        title=title,
        topic=fields.text("topic", required=False) or defaults.topic,
        when=when,
        then=writes,
        holds=holds,
        because=because,
        evidence=read_evidence(fields),
        owner=fields.text("owner", required=False) or defaults.owner,
        approved=fields.day("approved") or defaults.approved,
        review_by=fields.day("review_by") or defaults.review_by,
        phase=Phase(phase) if phase else Phase.JUDGE,
        basis=Basis(basis) if basis else None,
        for_each=_for_each(fields),
        asymmetric=fields.text("asymmetric", required=False) or None,
        holds_said=said,
        place=place,
    )


def _when(fields: Fields, setting: Setting) -> Condition | None:
    node = fields.node("when", required=True)
    if node is None:
        return None
    return read_condition(node, f"`when` of {fields.what}", setting.policy, fields.sink)


def _for_each(fields: Fields) -> tuple[str, ...]:
    """In the order segment, side, however it was written."""
    if isinstance(fields.node("for_each"), Sequence):
        words = fields.words("for_each", EACH)
    else:
        word = fields.word("for_each", EACH, required=False)
        words = (word,) if word else ()
    return tuple(each for each in EACH if each in words)


def _holds(fields: Fields, setting: Setting) -> tuple[tuple[Write, ...], bool]:
    node = fields.node("while_unknown")
    if node is None:
        return (), False
    what = f"`while_unknown` of {fields.what}"
    if isinstance(node, Scalar):
        as_word(node, what, fields.sink, ("nothing",))
        return (), True
    return _writes(node, what, setting, fields.sink), True


def _writes(node: Node, what: str, setting: Setting, sink: Sink) -> tuple[Write, ...]:
    mapping = as_mapping(node, what, sink)
    found: list[Write] = []
    for entry in mapping.entries if mapping else ():
        for write in _Target.of(entry, what, setting, sink).read(entry.value):
            if any(_same_place(write, other) for other in found):
                slot = f"{write.conclusion}.{write.key}" if write.key else write.conclusion
                place = write.place or entry.key_place
                sink.error("repeated-item", f"{what} writes `{slot}` twice", place)
            else:
                found.append(write)
    return tuple(found)


def _same_place(one: Write, other: Write) -> bool:
    """Whether two writes collide: the same slot, and for a set the same member."""
    return (one.conclusion, one.key, one.reach) == (other.conclusion, other.key, other.reach) and (
        one.key is not None or one.value == other.value
    )


@dataclass(frozen=True, slots=True)
class _Target:
    """One written name: its bare conclusion, how far it reaches, and how its values are read."""

    conclusion: str
    reach: str
    what: str
    setting: Setting
    sink: Sink

    @classmethod
    def of(cls, entry: Entry, what: str, setting: Setting, sink: Sink) -> _Target:
        prefix, dot, rest = entry.key.partition(".")
        name = f"`{entry.key}` in {what}"
        if not dot:
            return cls(entry.key, "case", name, setting, sink)
        if prefix not in REACHES or not rest:
            sink.error(
                "bad-write",
                f"{name} is no name that a rule can write",
                entry.key_place,
                "write a conclusion, `segment.` and a conclusion, or `adjacent.limit`; keys stand "
                "in a mapping below it",
            )
        elif prefix == "adjacent" and rest != "limit":
            sink.error("bad-write", f"{name}: only `limit` reaches neighbours", entry.key_place)
        return cls(rest, prefix, name, setting, sink)

    def read(self, node: Node) -> list[Write]:
        """Every write under this name."""
        declared = self.setting.conclusions.get(self.conclusion)
        if self.conclusion == "referral":
            items = node.items if isinstance(node, Sequence) else (node,)
            writes = [self._referral(item) for item in items]
            return [write for write in writes if write is not None]
        if isinstance(node, Mapping):
            if declared is not None and not declared.keys:
                return self._bad(node, declared)
            as_mapping(node, self.what, self.sink)
            return [write for entry in node.entries for write in self._keyed(entry)]
        if declared is not None and declared.keys:
            return self._bad(node, declared)
        if isinstance(node, Sequence):
            if declared is not None and declared.combine is not Combine.SET:
                return self._bad(node, declared)
            if not node.items:
                self.sink.error("empty-list", f"{self.what} has no members", node.place)
            return [write for item in node.items for write in self._one(item, None, declared)]
        if declared is not None and declared.combine is Combine.SET:
            return self._bad(node, declared)
        return self._one(node, None, declared)

    def _bad(self, node: Node, declared: Conclusion) -> list[Write]:
        wanted = {Combine.FLAG: "true", Combine.SET: "a list"}.get(declared.combine, "one word")
        if declared.keys:
            wanted = f"a mapping of keys, each with {wanted}"
        self.sink.error(
            "bad-write", f"{self.what} must be {wanted}, not {kind_of(node)}", node.place
        )
        return []

    def _keyed(self, entry: Entry) -> list[Write]:
        declared = self.setting.conclusions.get(self.conclusion)
        if self.conclusion == "limit" and entry.key == "hands_on":
            return self._hands_on(entry)
        return self._one(entry.value, entry.key, declared, entry.key_place)

    def _hands_on(self, entry: Entry) -> list[Write]:
        """`hands_on: barred` stands for every hands-on family."""
        if not isinstance(entry.value, Scalar) or entry.value.value != "barred":
            self.sink.error(
                "bad-write",
                f"`hands_on` under {self.what} can only be barred",
                entry.value.place,
                "limit each family by its own name",
            )
            return []
        return [
            Write("limit", "barred", family, self.reach, place=entry.key_place)
            for family in self.setting.hands_on
        ]

    def _one(
        self, node: Node, key: str | None, declared: Conclusion | None, place: Place | None = None
    ) -> list[Write]:
        name = f"`{key}` under {self.what}" if key else self.what
        is_true = isinstance(node, Scalar) and node.value is True
        wants_flag = declared is not None and declared.combine is Combine.FLAG
        if is_true and (wants_flag or declared is None):
            value = FLAG
        elif wants_flag:
            self.sink.error("bad-write", f"{name} must be true, not {kind_of(node)}", node.place)
            return []
        elif not isinstance(node, Scalar) or isinstance(node.value, bool) or node.value is None:
            said = kind_of(node)
            self.sink.error("bad-write", f"{name} must be one word, not {said}", node.place)
            return []
        else:
            value = as_word(node, name, self.sink)
        where = place or node.place
        return [Write(self.conclusion, value, key, self.reach, place=where)] if value else []

    def _referral(self, node: Node) -> Write | None:
        if not isinstance(node, Mapping):
            self.sink.error(
                "bad-write",
                f"{self.what} must be {{to, urgency, within}}, not {kind_of(node)}",
                node.place,
            )
            return None
        fields = Fields(node, self.what, REFERRAL_KEYS, self.sink)
        to = fields.word("to")
        urgency = fields.word("urgency", URGENCIES)
        within = fields.node("within")
        time = as_text(within, f"`within` of {self.what}", self.sink) if within else None
        if to is None or urgency is None:
            return None
        return Write("referral", urgency, to, self.reach, time or None, node.place)
