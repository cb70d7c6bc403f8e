"""Words of the pages: how values of an advice are said, so that every page says them alike."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from cds.explain.words import word

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def plain(value: object) -> str:
    """A value of an advice in plain words: `no_hands_on` as `no hands on`."""
    return word(str(value))


def day(value: str | date) -> str:
    """A date as `20 November 2026`; the text unchanged where it is no date."""
    try:
        found = value if isinstance(value, date) else date.fromisoformat(value)
    except ValueError:
        return str(value)
    return f"{found.day} {MONTHS[found.month - 1]} {found.year}"


def ago(days: int) -> str:
    """How long ago: `today`, `yesterday`, `6 days ago`."""
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")


def sentence(text: str) -> str:
    """The text with a capital letter first."""
    return text[:1].upper() + text[1:]


def idref(text: str) -> str:
    """A name as part of an id: letters, digits and hyphens."""
    return "".join(letter if letter.isalnum() else "-" for letter in text)


def title_of(name: str, titles: Mapping[str, str]) -> str:
    """The title of a rung or finding; its plain name where it has none."""
    return titles.get(name, plain(name))


def finding_title(name: str, titles: Mapping[str, str]) -> str:
    """The title of a finding of the case or of one level: `Provocation, L5`."""
    base, _, level = name.partition("@")
    title = titles.get(base, plain(base))
    return f"{title}, {level}" if level and level != "unnamed" else title


FILTERS: dict[str, Callable[..., str]] = {
    "title_of": title_of,
    "finding_title": finding_title,
    "plain": plain,
    "day": day,
    "ago": ago,
    "sentence": sentence,
    "idref": idref,
}
"""Filters of the templates."""
