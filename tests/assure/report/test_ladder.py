from __future__ import annotations

from cds.assure.report.ladder import ladder
from tests.assure.report.support import Page, small, terms, text


def test_rungs_in_order_with_their_gates_and_families_with_their_limits() -> None:
    markup = "".join(ladder(terms()))
    found = text(markup)
    places = [found.index(rung.title) for rung in small().ladder.rungs]
    assert places == sorted(places)
    for rung in small().ladder.rungs:
        assert all(gate in found for gate in rung.gate)
    page = Page(markup)
    for family in small().ladder.families:
        assert page.ids[f"family-{family.name}"] == 1
        assert ", ".join(limit.replace("_", " ") for limit in family.limits) in found
