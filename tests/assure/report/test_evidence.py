from __future__ import annotations

import pytest

from cds.assure.report.evidence import (
    CERTAINTY,
    certainty,
    certainty_table,
    cited,
    mark,
    reference,
    references,
    sources,
)
from cds.rulebook.book import Evidence
from tests.assure.report.support import Page, small, terms, text
from tests.support.shipped import shipped_service


@pytest.mark.parametrize(
    ("proof", "key"),
    [
        (Evidence("made-up-2020"), "read"),
        (Evidence("made-up-2020", from_memory=True), "memory"),
        (Evidence("other-guide"), "memory"),
        (Evidence(common_practice="habit"), "common_practice"),
        (Evidence("no-such"), "memory"),
    ],
)
def test_certainty(proof: Evidence, key: str) -> None:
    assert certainty(small(), proof) == key
    assert CERTAINTY[key][0] in mark(key)
    assert CERTAINTY[key][0] in reference(terms(), proof)


def test_a_reference_names_source_year_and_place() -> None:
    shown = reference(terms(), Evidence("made-up-2020", at="4.2"))
    assert text(shown) == "An invented guide, 2020: 4.2 read"
    assert 'href="#source-made-up-2020"' in shown
    assert text(reference(terms(), Evidence(common_practice="habit"))) == "habit common practice"
    assert references(terms(), ()) == "none given"


def test_everything_that_leans_on_something_is_cited() -> None:
    program = shipped_service().program
    kinds = {entry.kind for entry in cited(program)}
    assert kinds == {"rule", "policy", "card", "exercise", "text"}
    counted = sum(
        len(thing.evidence)
        for group in (
            program.rules,
            program.policy,
            program.cards,
            program.exercises,
            program.texts,
        )
        for thing in group.values()
    )
    assert counted == len(list(cited(program)))


def test_the_overview_counts_every_reference_once() -> None:
    shown = text(certainty_table(small()))
    counts = dict.fromkeys(CERTAINTY, 0)
    for entry in cited(small()):
        counts[certainty(small(), entry.evidence)] += 1
    assert counts["memory"] == 4
    for key, (name, meaning) in CERTAINTY.items():
        assert f"{name}{meaning}{counts[key]}" in shown


def test_the_table_of_sources_links_back() -> None:
    page = Page(sources(terms()))
    assert page.ids == {f"source-{name}": 1 for name in small().sources}
    assert {"#rule-cauda-equina", "#exercise-press-up", "#card-flexed-side-lying"} <= set(
        page.links
    )
