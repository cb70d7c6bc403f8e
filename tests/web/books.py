"""The shipped rule book on a shelf, its fixtures beside it."""

from __future__ import annotations

from functools import cache

from cds.web.rulebook import Shelf
from cds.web.rulebook_page import installed
from tests.support.shipped import shipped_service


@cache
def shelf() -> Shelf:
    return Shelf(shipped_service().program, installed())
