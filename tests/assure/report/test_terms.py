from __future__ import annotations

from decimal import Decimal

import pytest

from cds.assure.report.terms import (
    anchor,
    link,
    named,
    number,
    spoken,
    terms_of,
    unit_words,
    value,
    with_holes,
)
from tests.assure.report.support import small, terms, text


def test_terms_link_to_the_index() -> None:
    assert terms().term("fall") == '<a href="#finding-fall">Recent fall</a>'
    assert terms().term("age") == '<a href="#computed-age">Age</a>'
    assert terms().term("irritable") == "<b>Easily stirred up</b>"


def test_titles_of_conclusions_and_keys() -> None:
    assert terms().slot("concern.fracture") == "Concern, Vertebral fracture"
    assert terms().slot("referral.general_practice") == "Referral, General practice"
    assert terms().slot("segment.limit.thrust") == f"Limit, {terms().family('thrust')}"
    assert terms().slot("other_word") == "other word"
    assert terms().family("no_such") == "no such"
    assert terms().key("concern", "no_such") == "no such"


def test_words_of_values() -> None:
    assert terms().word("segment.flexed_side", "{side}") == "this side"
    assert terms().word("segment.flexed_side", "{other_side}") == "the other side"
    assert terms().word("segment.path_up_to", "thrust") == terms().rung("thrust") != "thrust"
    assert terms().word("x", "two_words") == "two words"
    assert terms().rung("no_such") == "no such"


def test_rules_are_linked_by_number_and_title() -> None:
    (shown,) = terms().rules(["hot-after-fall"])
    assert text(shown) == "2 Fever, or a fall at a high age"
    assert 'href="#rule-hot-after-fall"' in shown


@pytest.mark.parametrize(
    ("amount", "unit", "shown"),
    [
        ("70", "a", "70 years"),
        ("-2.50", "{T-score}", "−2.5 T-score"),
        ("3", None, "3"),
        ("3", "1", "3"),
        ("180", "mm[Hg]", "180 mmHg"),
        ("200", "mL", "200 mL"),
        ("38.5", "Cel", "38.5 °C"),
    ],
)
def test_numbers(amount: str, unit: str | None, shown: str) -> None:
    assert number(Decimal(amount), unit) == shown
    assert shown.endswith(unit_words(unit))


def test_small_pieces() -> None:
    assert anchor("rule", "x") == "rule-x"
    assert link("a", "<") == '<a href="#a">&lt;</a>'
    assert value("x") == "<b>x</b>"
    assert named("red_flags") == "Red flags"
    assert named("") == ""
    shown = with_holes("To the {other_side} at {level} {odd} <b>")
    assert shown == "To the <var>other side</var> at <var>level</var> {odd} &lt;b&gt;"
    assert spoken("To the {other_side} {odd}") == "To the other side {odd}"


def test_where_things_are_read_can_be_said_otherwise() -> None:
    elsewhere = terms_of(small(), lambda kind, name: f"/{kind}/{name}")
    assert elsewhere.term("fall") == '<a href="/finding/fall">Recent fall</a>'
    assert elsewhere.term("age") == '<a href="/computed/age">Age</a>'
    assert 'href="/rule/hot-after-fall"' in elsewhere.rules(["hot-after-fall"])[0]
    assert elsewhere.heading("card", "c", "C") == '<a href="/card/c">C</a>'
    # in the report a thing stands below its own heading
    assert terms().heading("card", "c", "C") == "C"
    assert terms().link("part", "ladder", "x") == '<a href="#ladder">x</a>'
