"""Rules and what they write, read field by field."""

from __future__ import annotations

from datetime import date

import pytest

from cds.problems import Place
from cds.rulebook.book import Basis, Evidence, Phase, Rule, Write
from cds.rulebook.conditions import Leaf, Source
from cds.rulebook.fields import Sink
from cds.rulebook.shape_library import Defaults
from cds.rulebook.shape_rules import Setting, read_rule
from cds.vocabulary.core import core_conclusions
from cds.vocabulary.model import Combine, Conclusion, Family, Ladder, Rung
from cds.vocabulary.values import Op
from tests.rulebook.trees import node

LADDER = Ladder(
    (Rung("no_treatment", "None"), Rung("thrust", "Thrust")),
    (
        Family("gentle", "Gentle", "hands_on", ("barred", "full")),
        Family("thrust", "Thrust", "hands_on", ("barred", "allowed"), (("thrust", "allowed"),)),
        Family("home_extension", "Extension", "home", ("barred", "allowed")),
    ),
)
CONCLUSIONS = {
    **core_conclusions(("clinic",), ("fracture",), LADDER, ("a-card",), (), ("say-it",)),
    "stirred": Conclusion("stirred", "Stirred", Combine.FLAG),
}
SETTING = Setting({}, CONCLUSIONS, ("gentle", "thrust"))
DEFAULTS = Defaults("topic", "group", date(2026, 1, 1), date(2027, 1, 1))


def read(then: str, more: str = "", sink: Sink | None = None) -> Rule | None:
    text = (
        f"id: a-rule\ntitle: A rule\nwhen: {{finding: fall, is: x}}\nthen: {then}\n"
        f"because: So.\nevidence: [{{common_practice: so}}]\n{more}"
    )
    used = sink or Sink()
    found = read_rule(node(text), DEFAULTS, SETTING, used)
    if sink is None:
        assert used.problems == []
    return found


def then(text: str) -> tuple[Write, ...]:
    found = read(text)
    assert found is not None
    return found.then


def test_defaults_fill_what_the_rule_does_not_say() -> None:
    assert read("{stirred: true}") == Rule(
        id="a-rule", title="A rule", topic="topic",
        when=Leaf(Source.FINDING, "fall", Op.IS, ("x",)),
        then=(Write("stirred", "yes"),), holds=(), because="So.",
        evidence=(Evidence(common_practice="so"),), owner="group",
        approved=date(2026, 1, 1), review_by=date(2027, 1, 1), holds_said=False,
    )  # fmt: skip


def test_what_the_rule_says_itself() -> None:
    found = read(
        "{segment.limit: {thrust: barred}}",
        "topic: mine\nowner: me\nreview_by: 2028-02-29\nphase: judge\nbasis: consent\n"
        "for_each: [side, segment]\nasymmetric: the liver\n"
        "while_unknown: {segment.limit: {thrust: barred}}\n",
    )
    assert found is not None
    assert (found.topic, found.owner, found.review_by) == ("mine", "me", date(2028, 2, 29))
    assert (found.phase, found.basis) == (Phase.JUDGE, Basis.CONSENT)
    assert found.for_each == ("segment", "side") and found.asymmetric == "the liver"
    assert found.holds == (Write("limit", "barred", "thrust", "segment"),) and found.holds_said
    assert found.place == Place("t.yaml", 1, 5)


def test_while_unknown_nothing_is_said() -> None:
    found = read("{stirred: true}", "while_unknown: nothing\n")
    assert found is not None and found.holds_said and found.holds == ()


@pytest.mark.parametrize(
    ("text", "writes"),
    [
        ("{care_today: no_hands_on}", [Write("care_today", "no_hands_on")]),
        ("{concern: {fracture: high}}", [Write("concern", "high", "fracture")]),
        (
            "{limit: {hands_on: barred, home_extension: barred}}",
            [
                Write("limit", "barred", "gentle"),
                Write("limit", "barred", "thrust"),
                Write("limit", "barred", "home_extension"),
            ],
        ),
        ("{adjacent.limit: {thrust: barred}}", [Write("limit", "barred", "thrust", "adjacent")]),
        ("{segment.indication: {gentle: true}}", [Write("indication", "yes", "gentle", "segment")]),
        ("{segment.cards: [a-card, b]}", [
            Write("cards", "a-card", reach="segment"), Write("cards", "b", reach="segment"),
        ]),
        (
            "{referral: {to: clinic, urgency: urgent, within: 2 weeks}}",
            [Write("referral", "urgent", "clinic", within="2 weeks")],
        ),
        (
            "{referral: [{to: clinic, urgency: urgent}, {to: elsewhere, urgency: routine}]}",
            [Write("referral", "urgent", "clinic"), Write("referral", "routine", "elsewhere")],
        ),
        ("{target: thrust, unheard_of: word}", [
            Write("target", "thrust"), Write("unheard_of", "word"),
        ]),
    ],
)  # fmt: skip
def test_writes(text: str, writes: list[Write]) -> None:
    assert list(then(text)) == writes


def test_every_wrong_write_is_reported() -> None:
    sink = Sink()
    read("{stirred: 1, concern: high, cautions: say-it, limit: {thrust: true}}", sink=sink)
    assert [problem.code for problem in sink.problems] == ["bad-write"] * 4


def test_no_condition_no_rule() -> None:
    sink = Sink()
    assert read_rule(node("{id: a-rule, when: none}"), DEFAULTS, SETTING, sink) is None
    assert sorted(problem.code for problem in sink.problems) == [
        "bad-condition", "missing-key", "missing-key", "missing-key",
    ]  # fmt: skip
