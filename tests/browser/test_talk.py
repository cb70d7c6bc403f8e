"""The pages after the advice, and the call: seen, reached, printed, and without script."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest

from tests.support.browser import DESK, PHONE, Visitor, axe, fits, shoot
from tests.web.visits import demo_fields, fixture_fields

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

FORM = {"content-type": "application/x-www-form-urlencoded"}
CLOSED = {
    "page.closing": "yes",
    "page.done.L5.muscle_energy": "yes",
    "page.guarding": "none",
    "page.pain": "2",
}
TOLD = {
    "page.told": "yes",
    "as_of": "2026-11-20",
    "a.bladder_function": "retention",
    "a.leg_weakness": "one_leg",
}
OUTLINED = """() => {
  const shown = (e) => {
    const style = getComputedStyle(e);
    return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  };
  const at = document.activeElement;
  const words = at.parentElement.querySelector('span');  // a hidden radio shows it on its words
  return [at, words, at.closest('.branch')].some((e) => e && shown(e));
}"""
"""Whether the control that has the keyboard shows it."""
REFERRED = "cauda-equina-both-legs-weak"

SHOWN: dict[str, tuple[str, Mapping[str, str]]] = {
    "during": ("/during", demo_fields("first_visit")),
    "during-thrust": ("/during", demo_fields("sixth_visit")),
    "during-none": ("/during", fixture_fields(REFERRED)),
    "letter": ("/letter", fixture_fields(REFERRED)),
    "letter-none": ("/letter", demo_fields("first_visit")),
    "home-sheet": ("/home-sheet", demo_fields("sixth_visit")),
    "home-sheet-emergency": ("/home-sheet", fixture_fields(REFERRED)),
    "note": ("/note", demo_fields("first_visit")),
    "close": ("/close", demo_fields("first_visit")),
    "close-referred": ("/close", fixture_fields(REFERRED)),
    "closed": ("/close", {**demo_fields("first_visit"), **CLOSED}),
    "call-told": ("/call", TOLD),
}
REFUSED: dict[str, tuple[str, Mapping[str, str]]] = {
    "close-wrong": ("/close", {**demo_fields("first_visit"), "page.closing": "yes"}),
    "call-wrong": ("/call", {**TOLD, "a.pain": "12"}),
    "mend": ("/during", {"as_of": "2026-13-01"}),
}


def sent(
    visitor: Visitor,
    path: str,
    fields: Mapping[str, str],
    *,
    width: int = DESK,
    script: bool = True,
    status: int = 200,
) -> Page:
    """The page that a form with these fields is answered with, as the browser shows it."""
    page = visitor.open("/", width=width, script=script)
    address = visitor.home + path

    def as_form(route: Route) -> None:
        route.continue_(method="POST", post_data=urlencode(fields), headers=FORM)

    if status >= 400:
        visitor.refused.add(address)
    page.route(address, as_form, times=1)
    answer = page.goto(address)
    assert answer is not None and answer.status == status
    return page


def looked_at(page: Page, name: str) -> None:
    """Accessible and not wider than the window: light and dark, wide and narrow."""
    axe(page)
    fits(page)
    assert page.locator("h1").count() == 1
    shoot(page, f"{name}-desk-light")
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    axe(page, only=("color-contrast",))
    shoot(page, f"{name}-desk-dark")
    page.set_viewport_size({"width": PHONE, "height": 900})
    fits(page)
    axe(page)
    shoot(page, f"{name}-phone-dark")


@pytest.mark.parametrize("name", SHOWN)
def test_a_page_is_accessible_light_and_dark_wide_and_narrow(visitor: Visitor, name: str) -> None:
    looked_at(sent(visitor, *SHOWN[name]), name)


@pytest.mark.parametrize("name", REFUSED)
def test_a_page_that_says_what_is_wrong_is_accessible(visitor: Visitor, name: str) -> None:
    looked_at(sent(visitor, *REFUSED[name], status=422), name)


def test_the_empty_call_is_accessible(visitor: Visitor) -> None:
    looked_at(visitor.open("/call"), "call")


@pytest.mark.parametrize("name", ["during", "letter", "note", "close", "call-told"])
def test_the_keyboard_reaches_every_control_and_shows_where_it_is(
    visitor: Visitor, name: str
) -> None:
    page = sent(visitor, *SHOWN[name])
    wanted = page.evaluate(
        """() => {
          const groups = new Set();
          let count = 0;
          const all = 'a[href], button, summary, input, select, textarea';
          for (const e of document.querySelectorAll(all)) {
            if (e.type === 'hidden' || e.closest('[hidden]') || !e.checkVisibility()) continue;
            if (e.type === 'radio') { if (groups.has(e.name)) continue; groups.add(e.name); }
            count += 1;
          }
          return count;
        }"""
    )
    seen = 0
    for _ in range(wanted + 5):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
        seen += 1
        assert page.evaluate(OUTLINED), page.evaluate(
            "document.activeElement.outerHTML.slice(0, 120)"
        )
    assert seen == wanted


def test_the_table_is_large_and_its_stop_signs_in_sight(visitor: Visitor) -> None:
    for width, verb in ((DESK, 44), (1024, 42), (390, 36)):
        page = sent(visitor, *SHOWN["during"], width=width)
        sizes = page.locator(".verb").evaluate_all(
            "all => all.map(e => parseFloat(getComputedStyle(e).fontSize))"
        )
        assert sizes and min(sizes) >= verb
        seen = page.locator(".branch dt").evaluate_all(
            "all => all.map(e => parseFloat(getComputedStyle(e).fontSize))"
        )
        assert min(seen) >= 20
        if width >= 1024:
            box = page.locator("#step-1 .stop-signs").bounding_box()
            step = page.locator("#step-1").bounding_box()
            assert box is not None and step is not None
            assert box["y"] - step["y"] < 300


def test_going_on_is_one_tap_and_leaves_no_trace_of_the_patient(visitor: Visitor) -> None:
    page = sent(visitor, *SHOWN["during"], script=False)
    page.locator("#step-1 .branch.go_on").click()
    assert page.url.endswith("/during#step-2")
    box = page.locator("#step-2").bounding_box()
    assert box is not None and abs(box["y"]) < 60
    assert page.locator("input:not([type=hidden]), textarea, select").count() == 0


@pytest.mark.parametrize("name", ["during", "letter", "home-sheet", "note"])
def test_a_page_reads_the_same_without_script(visitor: Visitor, name: str) -> None:
    with_script = sent(visitor, *SHOWN[name]).locator("main").inner_text()
    without = sent(visitor, *SHOWN[name], script=False).locator("main").inner_text()
    for button in ("Print", "Copy"):
        with_script = re.sub(rf"^{button}$\n*", "", with_script, flags=re.MULTILINE)
    assert without.split() == with_script.split() and len(without) > 200


def pages_of(page: Page) -> int:
    paper = page.pdf(prefer_css_page_size=True)
    assert paper.startswith(b"%PDF-")
    return len(re.findall(rb"/Type\s*/Page\b", paper))


@pytest.mark.parametrize(
    ("name", "pages"), [("letter", 2), ("home-sheet", 1), ("home-sheet-emergency", 1)]
)
def test_what_is_given_away_prints_on_a_page_each(visitor: Visitor, name: str, pages: int) -> None:
    page = sent(visitor, *SHOWN[name])
    assert pages_of(page) == pages
    page.emulate_media(media="print")
    for hidden in (".masthead", ".onward", "h1", ".colophon"):
        assert not page.locator(hidden).first.is_visible()
    assert page.locator(".paper-title").first.is_visible()


def test_the_table_prints_a_page_for_each_step(visitor: Visitor) -> None:
    page = sent(visitor, *SHOWN["during"])
    assert pages_of(page) == page.locator(".step").count() == 3


def test_the_note_prints_on_two_pages_at_most(visitor: Visitor) -> None:
    page = sent(visitor, *SHOWN["note"])
    assert pages_of(page) <= 2
    page.emulate_media(media="print")
    assert (
        page.locator(".on-paper").is_visible() and not page.locator("textarea").first.is_visible()
    )


def test_a_visit_is_closed_with_three_taps_and_goes_on_to_the_next(visitor: Visitor) -> None:
    page = sent(visitor, "/close", demo_fields("first_visit"), script=False, width=390)
    for name, value in (
        ("page.done.L5.muscle_energy", "yes"),
        ("page.guarding", "none"),
        ("page.pain", "2"),
    ):
        answer = page.locator(f"input[name='{name}'][value='{value}']")
        page.locator("label.tap", has=answer).click()
        assert answer.is_checked()
    page.get_by_role("button", name="Close the visit").first.click()
    assert page.get_by_role("heading", name="The visit is closed").is_visible()
    record = json.loads(page.locator("#record-text").input_value())
    assert record["course"][-1]["given"] == [{"level": "L5", "rung": "muscle_energy"}]
    assert record["course"][-1]["pain_after"] == 2
    page.get_by_role("button", name="Next visit from this record").click()
    assert page.url == f"{visitor.home}/visit"
    assert "From the record" in page.locator("main").inner_text()


def test_a_closed_visit_is_not_what_the_next_sheet_begins_with(visitor: Visitor) -> None:
    page = visitor.open("/visit")
    page.locator('input[name="age"]').fill("34")
    page.wait_for_function("(sessionStorage.getItem('visit') || '').includes('34')")
    fields = {**demo_fields("first_visit"), **CLOSED}
    page.evaluate(
        """(fields) => {
            const form = Object.assign(document.createElement("form"),
                { method: "post", action: "/close" });
            for (const [name, value] of Object.entries(fields))
                form.append(Object.assign(document.createElement("input"),
                    { type: "hidden", name, value }));
            document.body.append(form);
            form.submit();
        }""",
        fields,
    )
    page.wait_for_url("**/close")
    assert page.get_by_role("heading", name="The visit is closed").is_visible()
    assert page.evaluate("sessionStorage.getItem('visit')") is None
    page.get_by_role("button", name="Next visit from this record").click()
    page.wait_for_url("**/visit")
    # the record taken in is kept before anything is typed, and offered on the empty sheet
    page.wait_for_function("(sessionStorage.getItem('visit') || '').includes('record')")
    page.goto(page.url)
    page.get_by_text("what is typed here takes its place").wait_for()
    assert page.locator('input[name="age"]').input_value() == ""


def test_copying_says_what_it_did(visitor: Visitor) -> None:
    page = sent(visitor, *SHOWN["note"])
    said = page.locator("[data-said=text]")
    before = said.inner_text()
    page.get_by_role("button", name="Copy").first.click()
    page.wait_for_function(
        "before => document.querySelector('[data-said=text]').textContent !== before", arg=before
    )
    assert said.inner_text() in (
        "Copied.",
        "All of it is selected: copy it with the keys of this browser.",
    )
    selected = page.locator("#text").evaluate(
        "field => field.value.slice(field.selectionStart, field.selectionEnd)"
    )
    assert selected.startswith("Chart note") and selected == page.locator("#text").input_value()


def test_the_call_by_keyboard_alone(visitor: Visitor) -> None:
    page = visitor.open("/call", script=False)
    assert not page.locator(".only-if").first.is_visible()
    page.locator("input[name='a.leg_weakness'][value='one_leg']").focus()
    page.keyboard.press("Space")
    assert page.locator(".only-if").first.is_visible()
    page.locator("input[name='a.weakness_course'][value='progressive']").focus()
    page.keyboard.press("Space")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.url == f"{visitor.home}/call"
    assert page.locator(".headline").is_visible()
    assert page.evaluate("sessionStorage.length + localStorage.length") == 0
    assert page.context.cookies() == []
