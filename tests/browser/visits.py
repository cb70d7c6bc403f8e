"""A visit typed in as a therapist would, and a count of what the hand does.

`Hand` counts every tap, every key and every character typed. Looking and scrolling are no actions.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

READY = "#live:not([aria-busy])"
"""The draft answers all that was typed."""


class Hand:
    """One hand on the sheet. `answers` counts questions answered, `actions` what it took."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.actions = 0
        self.answers = 0

    def option(self, name: str, value: str) -> Locator:
        return self.page.locator(f'input[name="{name}"][value="{value}"]')

    def tap(self, name: str, value: str) -> None:
        """Choose an answer by a tap on its words, as a finger would."""
        self.page.locator("label.option", has=self.option(name, value)).click()
        assert self.option(name, value).is_checked()
        self.actions += 1
        self.answers += 1

    def write(self, name: str, text: str) -> None:
        """Go to a text field by a tap and type into it."""
        self.page.locator(f'input[name="{name}"]:not([type=radio])').click()
        self.page.keyboard.type(text)
        self.actions += 1 + len(text)
        self.answers += 1

    def key(self, key: str) -> None:
        self.page.keyboard.press(key)
        self.actions += 1

    def settle(self) -> None:
        """Wait until the draft knows everything that was typed."""
        self.page.wait_for_selector(READY)


def headline(page: Page) -> str:
    return page.locator("#live .headline-text").inner_text().replace("\n", " ")


def state(page: Page, field: str) -> str:
    found = page.locator(f'.question[data-name="{field}"]').get_attribute("data-state")
    return found or ""
