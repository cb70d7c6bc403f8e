from __future__ import annotations

import pytest

from tests.support.browser import DESK, PHONE, Visitor, axe, fits, shoot
from tests.web.case_fields import demo, fixture, sent

CASES = {
    "first": demo("first_visit"),
    "sixth": demo("sixth_visit"),
    "two-levels": fixture("clinic-6-slip-and-group"),
    "emergency": fixture("cauda-equina-bladder"),
    "refer": fixture("clinic-8-referral-overdue"),
}
_each = pytest.mark.parametrize("name", CASES)
FIRST_SCREEN = 900


@_each
def test_an_advice_is_accessible_light_and_dark_wide_and_narrow(
    visitor: Visitor, name: str
) -> None:
    page = visitor.send("/advice", sent(CASES[name]), width=DESK)
    for details in page.locator("details").all():
        details.evaluate("e => e.open = true")
    axe(page)
    fits(page)
    assert page.locator("h1").count() == 1
    shoot(page, f"advice-{name}-desk-light")
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    axe(page, only=("color-contrast",))
    page.set_viewport_size({"width": PHONE, "height": 900})
    fits(page)
    axe(page, only=("color-contrast", "target-size", "scrollable-region-focusable"))
    shoot(page, f"advice-{name}-phone-dark")


@_each
def test_the_first_screen_has_what_counts(visitor: Visitor, name: str) -> None:
    page = visitor.send("/advice", sent(CASES[name]), width=DESK)
    wanted = [".headline-text", ".second"]
    if page.locator(".path").count():
        wanted += [".path", ".stops h3", ".level-cards h3"]
    else:
        wanted += ["#refer"]
    for selector in wanted:
        box = page.locator(selector).first.bounding_box()
        assert box is not None and box["y"] < FIRST_SCREEN, selector


def test_what_the_answers_would_change_is_accessible(visitor: Visitor) -> None:
    case = {**CASES["first"], "answers": dict(CASES["first"]["answers"])}
    del case["answers"]["saddle_sensation"]
    page = visitor.send("/questions", sent(case), width=PHONE)
    assert page.locator("dt").count() > 1
    fits(page)
    axe(page)
    page.emulate_media(color_scheme="dark")
    axe(page, only=("color-contrast",))
    shoot(page, "questions-phone-dark")


def test_it_all_works_without_script(visitor: Visitor) -> None:
    page = visitor.send("/advice", sent(CASES["sixth"]), script=False)
    assert page.locator("script").count() == 0
    assert page.locator(".headline-text").is_visible()
    step = page.locator(".reasons details").first
    assert not step.locator("a").first.is_visible()
    step.locator("summary").click()
    assert step.locator("a").first.is_visible()


def test_a_step_leads_to_the_step_it_rests_on_and_to_its_rule(visitor: Visitor) -> None:
    page = visitor.send("/advice", sent(CASES["two-levels"]))
    link = page.locator('a[href^="#step-"]').first
    target = link.get_attribute("href")
    assert target is not None
    link.evaluate("e => { for (let p = e.parentElement; p; p = p.parentElement) p.open = true }")
    link.click()
    opened = page.locator(target)
    assert opened.locator("summary").first.is_visible()
    rule = opened.locator('a[href^="/rulebook/rules/"]').first
    opened.evaluate("e => e.open = true")
    address = rule.get_attribute("href")
    rule.click()
    assert page.url.endswith(address or "?")
    assert page.locator("h1").is_visible()


@_each
def test_the_chart_is_one_or_two_pages_of_paper(visitor: Visitor, name: str) -> None:
    page = visitor.send("/advice", sent(CASES[name]))
    paper = page.pdf(format="A4", prefer_css_page_size=True)
    assert paper.count(b"/Type /Page\n") in (1, 2)


def test_all_that_is_there_can_be_reached_by_keyboard(visitor: Visitor) -> None:
    page = visitor.send("/advice", sent(CASES["sixth"]))
    wanted = page.locator("a:visible, button:visible, summary:visible, [tabindex='0']:visible")
    count = wanted.count()
    reached: set[str] = set()
    for _ in range(count + 5):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(
                "(() => { const all = [...document.querySelectorAll('*')];"
                " return String(all.indexOf(document.activeElement)) })()"
            )
        )
    assert len(reached) >= count
