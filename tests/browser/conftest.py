from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.support.browser import ARGUMENTS, Visitor, executable, served
from tests.support.optional import require

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    require("browser")
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 (where there is a browser)

    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=executable(), args=list(ARGUMENTS))
        yield found
        found.close()


@pytest.fixture(scope="session")
def home() -> Iterator[str]:
    with served() as address:
        yield address


@pytest.fixture
def visitor(browser: Browser, home: str) -> Iterator[Visitor]:
    found = Visitor(browser, home)
    yield found
    found.close()
