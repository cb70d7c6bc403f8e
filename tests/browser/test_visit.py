from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest

from tests.browser.visits import READY, Hand, headline, state
from tests.support.browser import DESK, PHONE, Visitor, axe, fits, shoot
from tests.web.sheets import BLOCKS, first_visit, record_after

if TYPE_CHECKING:
    from playwright.sync_api import Page

LATER = "2026-11-20"
BEFORE = "2026-11-13"
"""The day of the served application, and the day of the visit before."""


def record(**more: str) -> str:
    return record_after(first_visit(as_of=BEFORE, **more))


def follow_up(visitor: Visitor, *, width: int = DESK, **more: str) -> Page:
    """The sheet of the next visit, come to by a form with the record in a hidden field."""
    page = visitor.open("/", width=width)
    page.evaluate(
        """fields => {
          const form = document.createElement("form");
          form.method = "post";
          form.action = "/visit";
          for (const [name, value] of Object.entries(fields)) {
            const input = document.createElement("input");
            Object.assign(input, { type: "hidden", name, value });
            form.append(input);
          }
          document.body.append(form);
          form.submit();
        }""",
        {"as_of": LATER, "by": "th-1", "record": record(**more)},
    )
    page.wait_for_url("**/visit")
    page.wait_for_selector(READY)
    return page


def sheet(visitor: Visitor, *, width: int = DESK) -> Page:
    page = visitor.open("/visit", width=width)
    page.wait_for_selector(READY)
    return page


def whole_first_visit(page: Page) -> Hand:
    """A first visit by taps, from the first question to the last."""
    hand = Hand(page)
    hand.write("age", "34")
    hand.tap("sex", "female")
    hand.tap("first", "yes")
    hand.answers = 0  # the patient's answers are counted from here
    hand.tap("a.pain", "5")
    hand.tap("b.since_last", "none_of_these")
    hand.tap("a.leg_symptoms", "none")
    hand.tap("a.pain_behaviour", "mechanical")
    hand.tap("a.night_pain", "none")
    hand.tap("a.onset", "sudden")
    hand.write("a.duration_days", "5")
    hand.tap("a.irritability", "low")
    for name, value in (
        ("a.saddle_sensation", "normal"),
        ("a.bladder_function", "normal"),
        ("a.bowel_function", "normal"),
        ("a.leg_weakness", "none"),
        ("a.cancer_history", "never"),
        ("a.blood_thinner", "none"),
    ):
        hand.tap(name, value)
    for block in BLOCKS[1:]:
        hand.tap(f"b.{block}", "none_of_these")
    hand.tap("a.guarding", "mild")
    hand.settle()
    return hand


def palpate(hand: Hand) -> None:
    hand.tap("s.L4.flexion", "left")
    hand.tap("s.L4.neutral", "symmetric")
    hand.tap("s.L4.extension", "symmetric")
    hand.tap("s.L4.a.provocation", "concordant")
    hand.tap("s.L4.a.mobility", "stiff")
    hand.tap("palpated", "yes")


def test_a_first_visit_takes_about_as_many_taps_as_answers(visitor: Visitor) -> None:
    page = sheet(visitor)
    hand = whole_first_visit(page)
    screened = hand.answers
    assert screened <= 24
    palpate(hand)
    hand.tap("consent.hands_on", "given")
    hand.tap("consent.points", "all")
    hand.settle()
    assert headline(page).startswith("Hands-on today: start at")
    assert page.locator("#live .next").count() == 0
    assert page.locator('.question[data-state="owed"]').count() == 0
    # five more for the person (age, sex, first visit) and nothing for finding the way
    assert hand.answers <= 30
    assert hand.actions <= 40
    print(f"first visit: {screened} answers to the screen, {hand.answers} in all, {hand.actions}")


def test_a_whole_visit_from_the_sheet_to_the_advice_and_back(visitor: Visitor) -> None:
    page = sheet(visitor)
    hand = whole_first_visit(page)
    palpate(hand)
    hand.tap("consent.hands_on", "given")
    hand.settle()
    draft = headline(page)
    page.get_by_role("button", name="Whole advice").click()
    page.wait_for_url("**/advice")
    assert draft in page.locator("main").inner_text().replace("\n", " ")
    page.get_by_role("button", name="Back to the sheet").first.click()
    page.wait_for_url("**/visit")
    page.wait_for_selector(READY)
    assert headline(page) == draft
    assert hand.option("s.L4.flexion", "left").is_checked()
    hand.tap("a.pain", "6")
    hand.settle()
    page.reload()
    page.wait_for_selector(READY)
    assert hand.option("a.pain", "6").is_checked()


def test_a_follow_up_is_five_taps(visitor: Visitor) -> None:
    page = follow_up(visitor)
    hand = Hand(page)
    hand.tap("last.after", "within_24h")
    hand.tap("last.comparable_sign", "better")
    hand.tap("a.pain", "3")
    hand.tap("b.since_last", "none_of_these")
    hand.tap("a.guarding", "none")
    hand.settle()
    assert hand.actions == 5 == hand.answers
    assert headline(page) == "Not settled: 1 answer before any hands-on care"
    palpate(hand)
    hand.settle()
    assert headline(page).startswith("Hands-on today: start at")
    assert page.locator('.question[data-state="owed"]').count() == 0
    print(f"follow-up: 5 answers in 5 taps; {hand.actions} with one level palpated")


def test_a_follow_up_by_keyboard_alone(visitor: Visitor) -> None:
    page = follow_up(visitor)
    page.locator("#main").focus()
    hand = Hand(page)
    page.evaluate("document.querySelector('[name=\"last.after\"]').focus()")
    for key in ("1", "1", "3", "1"):  # within a day; better; pain 3; none of these
        hand.key(key)
    assert hand.option("a.pain", "3").is_checked()
    assert hand.option("b.since_last", "none_of_these").is_checked()
    hand.settle()
    hand.key("n")
    hand.key("1")
    assert hand.option("a.guarding", "none").is_checked()
    assert hand.actions == 6
    hand.settle()
    for key in ("l", "1", "2", "2", "3", "1"):  # L4: left, even, even; own pain; stiff
        hand.key(key)
    hand.settle()
    assert hand.option("s.L4.flexion", "left").is_checked()
    assert hand.option("s.L4.a.mobility", "stiff").is_checked()
    hand.key("n")
    hand.key("1")
    hand.settle()
    assert headline(page).startswith("Hands-on today: start at")
    assert hand.actions <= 15
    page.route("**/advice", lambda route: route.fulfill(body="the next page"))
    hand.key("Control+Enter")
    page.wait_for_url("**/advice")


def test_a_first_visit_by_keyboard_alone(visitor: Visitor) -> None:
    page = sheet(visitor)
    hand = Hand(page)
    while page.evaluate("document.activeElement.name") != "age":
        page.keyboard.press("Tab")
        assert hand.actions < 20
        hand.actions += 1
    for key in ("3", "4", "Enter"):
        hand.key(key)
    chosen = {
        "first": "1", "a.pain": "5", "b.since_last": "1", "a.leg_symptoms": "1",
        "a.pain_behaviour": "1", "a.night_pain": "1", "a.onset": "1", "a.duration_days": "5",
        "a.irritability": "1", "a.saddle_sensation": "1", "a.bladder_function": "1",
        "a.bowel_function": "1", "a.leg_weakness": "1", "a.cancer_history": "1",
        "a.blood_thinner": "1",
    }  # fmt: skip
    met: list[str] = []
    for _ in range(60):
        where = page.evaluate("document.activeElement.name || document.activeElement.className")
        if where in ("main", "palpated"):
            break
        met.append(where)
        hand.key(chosen.get(where, "1"))
        hand.settle()  # nobody types faster than the draft answers
        if where == "a.duration_days":
            hand.key("Enter")
    assert set(chosen) <= set(met)
    # L4: left, even, even, the patient's own pain, stiff; the others even; consent to hands-on care
    for key in ("l", "1", "2", "2", "3", "1", "1", "1"):
        hand.key(key)
        hand.settle()
    assert hand.option("palpated", "yes").is_checked()
    assert hand.option("consent.hands_on", "given").is_checked()
    assert headline(page).startswith("Hands-on today")
    assert hand.actions <= 50
    print(f"first visit by keys: {len(met) + 7} questions, {hand.actions} keys")


def test_up_and_down_go_to_another_level_and_left_and_right_to_another_side(
    visitor: Visitor,
) -> None:
    page = sheet(visitor)
    page.evaluate("document.querySelector('[name=\"sex\"]').focus()")
    page.keyboard.press("l")
    assert page.evaluate("document.activeElement.name") == "s.L4.flexion"
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.name") == "s.L5.flexion"
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowUp")
    assert page.evaluate("document.activeElement.name") == "s.L3.flexion"
    assert page.locator(".positions input:checked").count() == 0
    page.keyboard.press("ArrowRight")
    assert page.locator('[name="s.L3.flexion"][value="symmetric"]').is_checked()


def test_the_draft_follows_the_answers(visitor: Visitor) -> None:
    page = sheet(visitor)
    hand = Hand(page)
    assert headline(page).startswith("Not settled")
    assert state(page, "a.saddle_sensation") == "owed"
    hand.tap("a.saddle_sensation", "normal")
    hand.settle()
    assert state(page, "a.saddle_sensation") == "answered"
    hand.tap("a.bladder_function", "retention")
    hand.settle()
    assert headline(page).startswith("Stop. Emergency referral now")
    assert page.locator("#spoken").inner_text() == headline(page)
    assert state(page, "a.bladder_function") == "adverse"
    assert page.locator("#live .draft").inner_text() == "Draft, not recorded"


def test_a_question_that_begins_to_matter_comes_into_view(visitor: Visitor) -> None:
    page = sheet(visitor)
    hand = Hand(page)
    side = page.locator('.question[data-name="a.leg_side"]')
    assert not side.is_visible()
    hand.tap("a.leg_symptoms", "below_knee")
    hand.settle()
    assert side.is_visible() and state(page, "a.leg_side") == "owed"
    other = page.locator('.question[data-name="a.recurrent"]')
    assert not other.is_visible()
    page.locator("section", has=page.locator("#part-history")).locator(".all").check()
    assert other.is_visible()


def test_nothing_typed_is_lost_on_reload_and_one_button_clears_it(visitor: Visitor) -> None:
    page = sheet(visitor)
    hand = whole_first_visit(page)
    before = headline(page)
    page.reload()
    page.wait_for_selector(READY)
    assert headline(page) == before
    assert hand.option("a.blood_thinner", "none").is_checked()
    assert page.locator('input[name="age"]').input_value() == "34"
    assert page.locator("#kept").inner_text().startswith("What was typed in this tab is back.")
    assert page.url.endswith("/visit")
    assert page.evaluate("localStorage.length") == 0 and page.evaluate("document.cookie") == ""
    other = page.context.new_page()  # another tab knows nothing of it
    other.goto(page.url)
    other.wait_for_selector(READY)
    assert other.locator("input:checked").count() == 0
    page.get_by_role("button", name="Clear this visit").first.click()
    page.wait_for_selector(READY)
    page.wait_for_function("sessionStorage.length === 0 || !document.querySelector(':checked')")
    assert page.locator("input:checked").count() == 0
    assert page.locator('input[name="age"]').input_value() == ""


def test_a_follow_up_is_kept_with_its_record_and_offered_on_the_empty_sheet(
    visitor: Visitor,
) -> None:
    page = follow_up(visitor)
    hand = Hand(page)
    hand.tap("a.pain", "3")
    hand.settle()
    page.reload()
    page.wait_for_selector(READY)
    assert hand.option("a.pain", "3").is_checked()
    page.goto(page.url)
    page.wait_for_selector(READY)
    assert page.locator("input:checked").count() == 0
    page.get_by_role("button", name="Go on with it").click()
    page.wait_for_selector("text=From the record")
    page.wait_for_selector(READY)
    assert hand.option("a.pain", "3").is_checked()


def test_an_earlier_positive_ends_with_one_tap(visitor: Visitor) -> None:
    page = follow_up(visitor, **{"a.new_trauma": "minor_fall"})
    hand = Hand(page)
    hand.tap("b.since_last", "none_of_these")
    hand.settle()
    # a "no" of today ends nothing, and what stands is seen although its block says none
    assert state(page, "a.new_trauma") == "adverse"
    assert page.locator('.question[data-name="a.new_trauma"]').is_visible()
    assert not page.locator('.question[data-name="a.weight_loss"]').is_visible()
    hand.actions = 0
    hand.tap("r.new_trauma", "asked")
    assert hand.actions == 1
    hand.settle()
    assert state(page, "a.new_trauma") == "answered"


def test_unchanged_is_never_chosen_beforehand_and_is_one_tap(visitor: Visitor) -> None:
    page = follow_up(visitor)
    assert page.locator('input[value="~unchanged"]').count() > 10
    assert page.locator('input[value="~unchanged"]:checked').count() == 0
    hand = Hand(page)
    page.locator("section", has=page.locator("#part-screening_blocks")).locator(".all").check()
    hand.tap("b.bone", "~unchanged")
    hand.settle()
    assert state(page, "b.bone") in ("answered", "kept")
    page.locator('[name="b.spine_and_hip"]').first.focus()
    page.keyboard.press("u")
    assert hand.option("b.spine_and_hip", "~unchanged").is_checked()


def test_what_cannot_be_read_is_shown_at_each_field(visitor: Visitor) -> None:
    page = sheet(visitor)
    hand = Hand(page)
    hand.write("age", "old")
    hand.write("a.duration_days", "-4")
    hand.settle()
    for name in ("age", "a-duration-days"):
        line = page.locator(f"#problem-{name}")
        assert line.is_visible() and line.inner_text().strip()
    assert page.locator('input[name="age"]').get_attribute("aria-invalid") == "true"
    assert page.locator("#live .note a").count() == 2
    axe(page)
    page.locator('input[name="age"]').fill("34")
    page.locator('input.number[name="a.duration_days"]').fill("5")
    hand.settle()
    assert not page.locator("#problem-age").is_visible()
    assert headline(page).startswith("Not settled")


def test_the_sheet_can_be_filled_and_sent_without_script(visitor: Visitor) -> None:
    page = visitor.open("/visit", script=False)
    hand = Hand(page)
    hand.tap("a.bladder_function", "retention")
    hand.tap("a.pain", "5")
    page.fill('input[name="age"]', "34")
    assert not page.locator('.question[data-name="a.recurrent"]').is_visible()
    page.locator("section", has=page.locator("#part-history")).locator(".all").check()
    assert page.locator('.question[data-name="a.recurrent"]').is_visible()
    page.get_by_role("button", name="What is owed now").click()
    assert page.url.endswith("/visit")
    assert headline(page).startswith("Stop. Emergency referral now")
    assert state(page, "a.bladder_function") == "adverse" and state(page, "a.pain") == "answered"
    assert page.locator('[name="a.pain"][value="5"]').is_checked()


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [PHONE, 390, 768, DESK, 1920])
def test_the_sheet_fits(visitor: Visitor, width: int, dark: bool) -> None:
    page = sheet(visitor, width=width)
    page.emulate_media(color_scheme="dark" if dark else "light")
    fits(page)
    hand = Hand(page)
    hand.tap("a.leg_symptoms", "below_knee")
    hand.tap("b.bone", "some")
    page.locator('label.option:has(input[name="s.L4"])').click()
    hand.settle()
    for fold in page.locator("main details").all():
        if fold.is_visible():
            fold.evaluate("fold => { fold.open = true }")
    fits(page)
    small = page.evaluate(
        """() => [...document.querySelectorAll('.option span, .case button, .case .number')]
          .filter(e => e.checkVisibility() && !e.classList.contains('off-screen'))
          .filter(e => e.getBoundingClientRect().height < 43.9).map(e => e.textContent)"""
    )
    assert small == []
    shoot(page, f"visit-{width}-{'dark' if dark else 'light'}")


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_the_sheet_is_accessible(visitor: Visitor, width: int) -> None:
    page = sheet(visitor, width=width)
    axe(page)
    hand = Hand(page)
    hand.tap("a.bladder_function", "retention")
    hand.tap("b.bone", "some")
    page.locator('label.option:has(input[name="s.L4"])').click()
    hand.settle()
    axe(page)
    page.emulate_media(color_scheme="dark")
    axe(page, only=("color-contrast",))


def test_the_follow_up_is_accessible_and_names_its_questions(visitor: Visitor) -> None:
    page = follow_up(visitor, **{"a.new_trauma": "minor_fall"})
    axe(page)
    asked = page.get_by_role("radiogroup", name="How did the last session settle?")
    assert asked.count() == 1
    assert asked.get_by_role("radio").count() >= 3
    shoot(page, "visit-follow-up")


def test_the_sheet_prints_what_was_answered(visitor: Visitor) -> None:
    page = sheet(visitor)
    Hand(page).tap("a.bladder_function", "retention")
    page.emulate_media(media="print")
    assert not page.locator(".masthead nav").is_visible()
    assert not page.locator("button.main").is_visible()
    assert page.locator('.question[data-name="a.bladder_function"]').is_visible()
    paper = page.pdf(format="A4")
    assert paper.startswith(b"%PDF-") and len(re.findall(rb"/Type\s*/Page\b", paper)) <= 12


def test_states_differ_by_word_and_shape(visitor: Visitor) -> None:
    page = follow_up(visitor, **{"a.weight_loss": "yes"})
    for box in page.locator(".all").all():
        box.check()
    looks: dict[str, tuple[str, str]] = {}
    for kind in ("owed", "stale", "adverse", "kept", "open"):
        line = page.locator(f'.question[data-state="{kind}"] > .state').first
        word = line.inner_text().split(":")[0].split(",")[0]
        shape = line.evaluate(
            """e => { const s = getComputedStyle(e, '::before');
              return [s.borderTopStyle, s.borderRadius, s.clipPath, s.height,
                s.backgroundImage.slice(0, 15)].join(' '); }"""
        )
        looks[kind] = (word, shape)
    shapes = [shape for _, shape in looks.values()]
    assert len(set(shapes)) == len(shapes), looks
    assert looks["owed"][0] == "not answered" == looks["open"][0]
    assert looks["stale"][0] == "no longer counts"
    assert looks["adverse"][0] == "positive"


def test_focus_is_not_hidden_behind_the_draft_on_a_phone(visitor: Visitor) -> None:
    page = sheet(visitor, width=PHONE)
    page.locator('input[name="age"]').focus()
    for _ in range(25):
        page.keyboard.press("Tab")
        hidden = page.evaluate(
            """() => { const e = document.activeElement;
              if (e.closest('.case-live')) return false;
              const box = (e.nextElementSibling || e).getBoundingClientRect();
              const bar = document.querySelector('.case-live').getBoundingClientRect();
              return box.top >= bar.top; }"""
        )
        assert not hidden


def test_no_address_and_no_log_of_the_browser_carries_a_patient(visitor: Visitor) -> None:
    page = sheet(visitor)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    hand = Hand(page)
    hand.write("subject", "case-4711")
    hand.tap("a.pain", "5")
    hand.settle()
    assert asked and all(url.endswith("/visit/live") for url in asked)
    kept = json.loads(page.evaluate("sessionStorage.getItem('visit')"))
    assert ["subject", "case-4711"] in kept["pairs"]
