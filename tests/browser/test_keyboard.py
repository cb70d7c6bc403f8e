from __future__ import annotations

import pytest

from tests.support.browser import Visitor

OUTLINE = """() => {
  const style = getComputedStyle(document.activeElement);
  return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
}"""
SEEN = """() => {
  const box = document.activeElement.getBoundingClientRect();
  return box.width > 0 && box.bottom > 0 && box.top < innerHeight && box.right > 0;
}"""


def test_the_first_stop_skips_to_the_page(visitor: Visitor) -> None:
    page = visitor.open("/rulebook/rules/cauda-equina-suspected")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    assert page.evaluate(SEEN)
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


@pytest.mark.parametrize("path", ["/", "/rulebook", "/rulebook/rules/cauda-equina-suspected"])
def test_every_stop_can_be_seen(visitor: Visitor, path: str) -> None:
    page = visitor.open(path)
    stops = []
    for _ in range(25):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
        stops.append(page.evaluate("document.activeElement.textContent.trim().slice(0, 40)"))
        assert page.evaluate(OUTLINE), stops[-1]
        assert page.evaluate(SEEN), stops[-1]
    assert len(stops) > 5


def test_a_search_by_keyboard_alone(visitor: Visitor) -> None:
    page = visitor.open("/rulebook")
    page.locator("#q").focus()
    page.keyboard.type("urinary")
    page.keyboard.press("Enter")
    page.wait_for_url("**/rulebook?q=urinary*")
    assert 0 < page.locator(".row").count() < 30
