from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from cds.web.rulebook import Shelf
from cds.web.rulebook_search import (
    GIST,
    LONGEST,
    SOON,
    WrongSearch,
    facets,
    read,
    results,
    review_of,
)
from tests.web.books import shelf

TODAY = date(2026, 11, 20)


def found(**asked: str) -> dict[str, Any]:
    return results(shelf(), read(shelf(), asked.items(), TODAY), TODAY)


def ids(shown: dict[str, Any]) -> list[str]:
    return [rule["id"] for group in shown["groups"] for rule in group["rules"]]


def test_with_nothing_asked_every_rule_is_there_once() -> None:
    shown = found()
    assert ids(shown) == [rule.id for rule in shelf().rules]
    assert shown["count"] == shown["whole"] == len(shelf().program.rules)
    assert shown["without"] == []


@pytest.mark.parametrize(
    ("asked", "fits"),
    [
        ({"topic": "red_flags"}, lambda rule: rule.topic == "red_flags"),
        ({"basis": "consent"}, lambda rule: rule.basis == "consent"),
        ({"basis": "none"}, lambda rule: rule.basis is None),
        ({"evidence": "memory"}, lambda rule: any(p.from_memory for p in rule.evidence)
         or "memory" in shelf().sureness(rule)),
        ({"owner": "spinal-governance"}, lambda rule: rule.owner == "spinal-governance"),
    ],
)  # fmt: skip
def test_a_filter_shows_exactly_what_fits(asked: dict[str, str], fits: Any) -> None:
    expected = [rule.id for rule in shelf().rules if fits(rule)]
    assert expected and ids(found(**asked)) == expected


def test_all_words_must_be_there_in_any_case() -> None:
    both = ids(found(q="URINARY frequency"))
    assert both and set(both) <= set(ids(found(q="urinary"))) & set(ids(found(q="frequency")))
    assert ids(found(q="bone-density-low"))[0] == "bone-density-low"
    assert found(q="no such word at all")["count"] == 0


def test_filters_work_together_and_can_be_taken_away() -> None:
    shown = found(q="bone", topic="limits", order="review")
    both = set(ids(found(q="bone"))) & set(ids(found(topic="limits")))
    assert set(ids(shown)) == both
    assert [(entry["label"], entry["href"]) for entry in shown["without"]] == [
        ("bone", "/rulebook?topic=limits&order=review"),
        ("Topic: Limits", "/rulebook?q=bone&order=review"),
    ]


def test_a_choice_says_how_many_rules_it_would_show() -> None:
    shown = found(topic="limits", basis="precaution")
    for entry in shown["filters"]:
        for choice in entry["choices"]:
            asked = {"topic": "limits", "basis": "precaution", entry["name"]: choice["value"]}
            assert found(**asked)["count"] == choice["count"], (entry["name"], choice["value"])


@pytest.mark.parametrize(
    ("days", "said"), [(-1, "overdue"), (0, "soon"), (90, "soon"), (91, "later")]
)
def test_when_a_review_is_due(days: int, said: str) -> None:
    assert SOON.days == 90
    rule = replace(shelf().rules[0], review_by=TODAY + timedelta(days=days))
    assert review_of(rule, TODAY) == said
    assert review_of(replace(rule, review_by=None), TODAY) == "unset"


def test_by_review_date_the_overdue_come_first() -> None:
    program = shelf().program
    some = list(program.rules.values())[:4]
    dates = (TODAY + timedelta(days=200), None, TODAY - timedelta(days=1), TODAY)
    changed = {rule.id: replace(rule, review_by=due) for rule, due in zip(some, dates, strict=True)}
    other = Shelf(replace(program, rules={**program.rules, **changed}), None)
    shown = results(other, {"order": "review"}, TODAY)
    assert ids(shown)[:2] == [some[2].id, some[3].id]
    assert ids(shown)[-1] == some[1].id
    assert [group["id"] for group in shown["groups"]] == ["overdue", "soon", "later", "unset"]
    assert shown["groups"][0]["rules"][0]["overdue"]
    assert ids(results(other, {"review": "overdue"}, TODAY)) == [some[2].id]


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ([("topic", "nothing")], "no such choice"),
        ([("colour", "red")], "no such filter"),
        ([("topic", "limits"), ("topic", "limits")], "given twice"),
        ([("q", "x" * (LONGEST + 1))], "longer than 200"),
        ([("order", "colour")], "no such choice"),
    ],
)
def test_what_the_book_does_not_have_is_refused(sent: list[tuple[str, str]], said: str) -> None:
    with pytest.raises(WrongSearch) as caught:
        read(shelf(), sent, TODAY)
    assert said in caught.value.problems[0].message


def test_what_says_nothing_is_left_out() -> None:
    assert read(shelf(), [("q", "  "), ("topic", ""), ("basis", "consent")], TODAY) == {
        "basis": "consent"
    }


def test_a_row_is_short_and_every_facet_has_its_rules() -> None:
    for group in found()["groups"]:
        assert all(len(rule["gist"]) <= GIST + 2 for rule in group["rules"])
    for facet in facets(shelf(), TODAY):
        for rule in shelf().rules:
            assert facet.of(rule) and set(facet.of(rule)) <= set(facet.choices)
