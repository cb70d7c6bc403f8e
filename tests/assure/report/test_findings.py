from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from cds.assure.report.findings import answers, findings, period
from cds.assure.report.terms import terms_of
from cds.vocabulary.model import Feature, Finding, GoodFor, Kind
from tests.assure.report.support import Page, small, terms, text
from tests.support.shipped import shipped_service


def row(name: str) -> str:
    markup = "".join(findings(terms()))
    start = markup.index(f'id="finding-{name}"')
    return text("<tr " + markup[start : markup.index("</tr>", start)])


def test_a_finding_with_everything() -> None:
    found = row("saddle_sensation")
    for part in (
        "Saddle sensation",
        "Feeling between the legs",
        "One of: normal, altered. Adverse: altered. Asked alone.",
        "28 days",
        "this session only while adverse: Leg symptoms",
        "ends early after an adverse answer to: Recent fall",
        "ended by a specialist or examination",
        "not answered “unchanged” while adverse: Leg symptoms",
        "1 Possible cauda equina syndrome",
    ):
        assert part in found, part


def test_blocks_conditions_and_directions() -> None:
    assert "Asked together with others." in row("leg_symptoms")
    assert "The lower, the worse." in row("leg_power")
    assert "The higher, the worse." in row("temperature")
    assert "Asked only when Leg symptoms is present." in row("leg_power")
    assert "never answered “unchanged”" in row("leg_power")
    assert "(of each level)" in row("segment.provocation")
    assert 'id="block-leg_block"' in "".join(findings(terms()))


@pytest.mark.parametrize(
    ("good_for", "words"),
    [
        (GoodFor(days=1), "1 day"),
        (GoodFor(days=28), "28 days"),
        (GoodFor(months=1), "1 month"),
        (GoodFor(months=24), "24 months"),
        (GoodFor(this_session=True), "this session only"),
        (GoodFor(episode=True), "the episode, 12 months at most"),
        (GoodFor(), "life"),
    ],
)
def test_how_long_an_answer_counts(good_for: GoodFor, words: str) -> None:
    assert period(good_for) == words


@pytest.mark.parametrize(
    ("known", "words"),
    [
        (Finding("a", Kind.PRESENCE, "", "", values=("no", "yes")), "Yes or no"),
        (Finding("a", Kind.DATE, "", ""), "A date"),
        (Finding("a", Kind.CHOICE, "", "", values=("x_y", "z")), "One of: x y, z"),
        (
            Feature("a", Kind.CHOICE, "", values=("x", "z"), ordered=True),
            "One of: x, z, in this order",
        ),
        (
            Finding("a", Kind.NUMBER, "", "", unit="Cel", low=Decimal(33), high=Decimal(43)),
            "A number from 33 to 43 °C",
        ),
        (Feature("a", Kind.COUNT, "", unit="a"), "A number of years"),
        (Feature("a", Kind.COUNT, ""), "A number"),
    ],
)
def test_what_may_be_answered(known: Finding | Feature, words: str) -> None:
    assert answers(known) == words


def test_every_finding_and_every_computed_value_has_one_row() -> None:
    program = shipped_service().program
    page = Page("".join(findings(terms_of(program))))
    wanted = {f"finding-{name}" for name in program.findings}
    wanted |= {f"computed-{name}" for name in program.features}
    wanted |= {f"block-{name}" for name in program.blocks}
    assert page.ids == dict.fromkeys(wanted, 1)


def test_computed_values_name_what_they_are_made_from_and_the_other_way_round() -> None:
    program = shipped_service().program
    markup = "".join(findings(terms_of(program)))
    start = markup.index('id="computed-segment.motion_agrees"')
    assert "#finding-active_flexion" in markup[start : markup.index("</tr>", start)]
    start = markup.index('id="finding-active_flexion"')
    assert "#computed-segment.motion_agrees" in markup[start : markup.index("</tr>", start)]


def test_no_block_no_table_of_blocks() -> None:
    assert len(findings(terms())) == 3
    assert len(findings(terms_of(replace(small(), blocks={})))) == 2
