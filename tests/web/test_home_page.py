from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from cds.explain.homesheet import home_sheet
from cds.web.home_page import BELOW, EXERCISE, KINDS, grouped, room
from cds.web.paper import laid
from tests.explain.decided import all_decided
from tests.support.shipped import demo, shipped_service
from tests.web.reading import post
from tests.web.visits import demo_fields, fixture_fields


@pytest.mark.parametrize("name", ["first_visit", "sixth_visit"])
def test_every_line_of_the_sheet_is_on_the_page_in_its_order(client: TestClient, name: str) -> None:
    text = post(client, "/home-sheet", demo_fields(name)).text
    paper = shipped_service().home_sheet({"case": demo(name)["case"]})["paper"]
    at = 0
    for part in paper["sections"]:
        for line in filter(None, [part["heading"], *part["lines"]]):
            at = text.index(line.partition("____")[0].strip(), at)


def test_who_goes_to_hospital_is_told_first(client: TestClient) -> None:
    text = post(client, "/home-sheet", fixture_fields("cauda-equina-both-legs-weak")).text
    assert text.index("Where to go") < text.index("Get help at once") < text.index("Call us")
    assert "do not drive yourself" in text and "Exercise 1" not in text


def test_every_heading_of_every_fixture_has_its_place() -> None:
    for item in all_decided():
        paper = laid(home_sheet(item.decider.program, item.advice))
        groups = grouped(paper.sections)
        assert [part for group in groups for part in group.parts] == list(paper.sections)
        for group in groups:
            first, *below = group.parts
            assert (
                first.heading in KINDS
                or first.heading.startswith(EXERCISE)
                or (group.kind == "end" and not first.heading)
            )
            assert all(part.heading in (*BELOW, "") for part in below)
        kinds = [group.kind for group in groups]
        assert kinds[-1] == "end" and kinds.count("now") == 1


def test_a_short_sheet_is_set_larger_than_a_long_one() -> None:
    assert [room(n) for n in (1_500, 4_000, 6_000)] == ["wide", "middle", "close"]
