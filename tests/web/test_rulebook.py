from __future__ import annotations

import re
from dataclasses import replace

import pytest

from cds.assure.report.evidence import CERTAINTY
from cds.assure.report.html import el, join
from cds.rulebook.book import Evidence
from cds.web.rulebook import address, bare
from tests.web.books import shelf


@pytest.mark.parametrize(
    ("kind", "name", "said"),
    [
        ("rule", "a-rule", "/rulebook/rules/a-rule"),
        ("finding", "age", "/rulebook/findings/age"),
        ("computed", "age_group", "/rulebook/findings/age_group"),
        ("card", "c", "/rulebook/cards/c"),
        ("exercise", "e", "/rulebook/exercises/e"),
        ("source", "s", "/rulebook/sources/s"),
        ("policy", "p", "/rulebook/policy#policy-p"),
        ("text", "t", "/rulebook/texts#text-t"),
        ("block", "b", "/rulebook/findings#block-b"),
        ("family", "thrust", "/rulebook/ladder#family-thrust"),
        ("topic", "red_flags", "/rulebook?topic=red_flags"),
        ("part", "ladder", "/rulebook/ladder"),
    ],
)
def test_addresses_stay(kind: str, name: str, said: str) -> None:
    assert address(kind, name) == said


def test_markup_is_read_as_one_line() -> None:
    markup = join([el("p", "One ", el("b", "two"), "."), el("ul", [el("li", "3 < 4")])])
    assert bare(markup) == "One two. 3 < 4"


def test_the_rules_stand_in_reading_order() -> None:
    numbers = [shelf().terms.links.numbers[rule.id] for rule in shelf().rules]
    assert numbers == list(range(1, len(shelf().program.rules) + 1))


def test_what_a_rule_says_can_be_found() -> None:
    for rule in shelf().rules:
        text = shelf().texts[rule.id]
        assert rule.id in text and rule.title.casefold() in text
        for proof in rule.evidence:
            if proof.source:
                assert shelf().program.sources[proof.source].title.casefold() in text


def test_a_gist_is_what_follows() -> None:
    assert "Barred: High-velocity low-amplitude thrust." in shelf().gists["bone-density-low"]
    assert not any(re.search(r"<|&\w+;", gist) for gist in shelf().gists.values())


def test_the_least_sure_comes_first() -> None:
    rule = shelf().program.rules["bone-density-low"]
    assert shelf().sureness(replace(rule, evidence=())) == ()
    read = next(p for p in shelf().program.sources.values() if p.status == "read")
    proofs = (Evidence(source=read.id), Evidence(source=read.id, from_memory=True))
    assert shelf().sureness(replace(rule, evidence=proofs)) == ("memory", "read")
    assert next(iter(CERTAINTY)) == "memory"
