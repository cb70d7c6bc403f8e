from __future__ import annotations

from dataclasses import replace
from datetime import date

from cds.assure.report.rules import day, definitions, rule_entry, rules
from tests.assure.report.support import Page, small, terms, text


def shown(rule: str) -> str:
    return text(rule_entry(terms(), small().rules[rule]))


def test_a_rule_says_all_there_is() -> None:
    found = shown("cauda-equina")
    for part in (
        "1 Possible cauda equina syndrome",
        "contraindication",
        "When either of these holds:",
        "Then|No hands-on care today.",
        "Until that is known|Barred: every hands-on technique.",
        "Outside the scope of hands-on care.",
        "An invented guide, 2020: 4.2 read",
        "Red flag group",
        "Approved1 November 2026",
        "Review by1 November 2027",
        "Feedsthe path of the day",
        "Fed bywhat is recorded alone",
        "cauda-equina",
    ):
        assert part in found, part


def test_unknown_with_nothing_held_says_so_and_a_preparing_rule_does_not() -> None:
    assert "While that is unknown, nothing is held." in shown("hot-after-fall")
    assert "unknown" not in shown("side-lying-card")


def test_levels_and_sides() -> None:
    assert "For each listed level: when both of these hold:" in shown("irritable-levels")
    # the order in which an author names level and side means nothing
    assert "For each listed level, on either side: when both of these hold:" in shown("same-side")
    assert "The side side hurts, the other side does not decide." in shown("same-side")
    sided = replace(small().rules["same-side"], for_each=("side",), asymmetric="on purpose")
    found = text(rule_entry(terms(), sided))
    assert "For the left and the right side in turn: when" in found
    assert "Left and right differ on purpose: on purpose" in found


def test_links_to_and_from_other_rules() -> None:
    markup = rule_entry(terms(), small().rules["irritable-levels"])
    assert "#rule-stirred-up" in Page(markup).links
    markup = rule_entry(terms(), small().rules["stirred-up"])
    assert "#rule-irritable-levels" in Page(markup).links
    assert "Fed bythe path of the day; 2 Fever" in shown("side-lying-card")


def test_every_rule_once() -> None:
    page = Page("".join(rules(terms())))
    assert {name for name in page.ids if name.startswith("rule-")} == {
        f"rule-{rule}" for rule in small().rules
    }
    assert page.ids["topic-small"] == 1


def test_days_and_definitions() -> None:
    assert day(date(2027, 1, 31)) == "31 January 2027"
    assert day(date(2027, 12, 1)) == "1 December 2027"
    assert day(None) == "not set"
    assert definitions([("A", "b")]) == "<dl><div><dt>A</dt><dd>b</dd></div></dl>"
