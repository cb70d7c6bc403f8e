from __future__ import annotations

import re

import pytest

from tests.support.browser import DESK, PHONE, Visitor, axe, fits, shoot

# One page of each template, and of each part whose markup is its own.
PAGES = (
    "/",
    "/rulebook?topic=session",
    "/rulebook?q=fracture&evidence=memory&order=review",
    "/rulebook/rules/cauda-equina-suspected",
    "/rulebook/rules/fracture-after-minor-strain-in-weak-bone",
    "/rulebook/findings/bladder_function",
    "/rulebook/findings/age",
    "/rulebook/cards/extended-thrust",
    "/rulebook/exercises/breathing-relaxation",
    "/rulebook/sources/acp-2017",
    "/rulebook/policy",
    "/rulebook/ladder",
    "/rulebook/positional",
)
LISTS = ("/rulebook", "/rulebook/findings", "/rulebook/sources", "/rulebook/texts")
"""Pages of hundreds of entries: the rules for accessibility take long to go through them."""
_each = pytest.mark.parametrize("path", PAGES)


def name_of(path: str) -> str:
    return re.sub(r"\W+", "-", path).strip("-") or "start"


@pytest.mark.parametrize("path", LISTS)
def test_a_long_list_fits_a_narrow_phone(visitor: Visitor, path: str) -> None:
    fits(visitor.open(path, width=PHONE))


@pytest.mark.long
@pytest.mark.parametrize("path", LISTS)
def test_a_long_list_is_accessible(visitor: Visitor, path: str) -> None:
    axe(visitor.open(path))


@_each
def test_a_page_is_accessible_light_and_dark_wide_and_narrow(visitor: Visitor, path: str) -> None:
    page = visitor.open(path, width=DESK)
    axe(page)
    fits(page)
    assert page.locator("h1").count() == 1
    assert page.title() not in ("", "Featheredge") or path == "/"
    shoot(page, f"{name_of(path)}-desk-light")
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    axe(page, only=("color-contrast",))
    shoot(page, f"{name_of(path)}-desk-dark")
    page.set_viewport_size({"width": PHONE, "height": 900})
    fits(page)
    axe(page)
    shoot(page, f"{name_of(path)}-phone-dark")


@pytest.mark.parametrize("path", PAGES[:4] + PAGES[7:11])
def test_a_page_reads_the_same_without_script(visitor: Visitor, path: str) -> None:
    with_script = visitor.open(path).locator("main").inner_text()
    without = visitor.open(path, script=False).locator("main").inner_text()
    assert len(with_script) > 200
    assert without == with_script


@pytest.mark.parametrize("path", PAGES[3:4] + PAGES[7:8])
def test_a_page_prints(visitor: Visitor, path: str) -> None:
    page = visitor.open(path)
    paper = page.pdf(format="A4")
    pages = len(re.findall(rb"/Type\s*/Page\b", paper))
    assert paper.startswith(b"%PDF-") and 1 <= pages <= 4
    page.emulate_media(media="print")
    assert page.locator("h1").is_visible()
    assert not page.locator(".masthead nav").is_visible()


def test_a_search_can_be_sent_without_script_and_its_address_shared(visitor: Visitor) -> None:
    page = visitor.open("/rulebook", script=False)
    page.fill("#q", "urinary")
    page.select_option("select[name=topic]", "red_flags")
    page.click("form.search button")
    assert "q=urinary" in page.url and "topic=red_flags" in page.url
    rows = page.locator(".row a").all_inner_texts()
    assert rows and len(rows) < 20
    again = visitor.open(page.url.removeprefix(visitor.home))
    assert again.locator(".row a").all_inner_texts() == rows
    assert again.locator("#q").input_value() == "urinary"
    again.get_by_role("link", name="Without urinary").click()
    assert again.locator(".row").count() > len(rows)


def test_a_rule_leads_to_what_it_reads_and_back(visitor: Visitor) -> None:
    page = visitor.open("/rulebook/rules/cauda-equina-suspected")
    page.locator(".boxes").get_by_role("link", name="Bladder function").click()
    assert page.url.endswith("/rulebook/findings/bladder_function")
    page.get_by_role("link", name="Possible cauda equina syndrome").click()
    assert page.url.endswith("/rulebook/rules/cauda-equina-suspected")


@pytest.mark.parametrize("path", ["/nowhere", "/rulebook/rules/no-such-rule"])
def test_what_is_not_there_is_said_on_a_page(visitor: Visitor, path: str) -> None:
    page = visitor.open(path, width=PHONE, status=404)
    axe(page)
    fits(page)
    assert page.get_by_role("link", name="rule book").count() >= 1
