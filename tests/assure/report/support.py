"""A small invented book, its terms, and markup read back as text and as a tree."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from html import unescape
from html.parser import HTMLParser

from cds.assure.report.terms import Terms, terms_of
from cds.rulebook.program import Program
from cds.rulebook.vetting import load_program
from tests.support.optional import ROOT

VOID = {"br", "hr", "input", "meta"}


@cache
def small() -> Program:
    return load_program(ROOT / "tests" / "rulebook" / "base")


@cache
def terms() -> Terms:
    return terms_of(small())


def text(markup: str) -> str:
    """What a reader sees, tags gone, entries of lists set apart by `|`."""
    apart = re.sub(r"</?(?:li|p|ul|ol)[^>]*>", "|", markup)
    bare = unescape(re.sub(r"<[^>]*>", "", apart))
    return re.sub(r"[| ]*\|[| ]*", "|", bare).strip("|")


class Page(HTMLParser):
    """Checks nesting while it collects anchors, links, headings and tags."""

    def __init__(self, markup: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: Counter[str] = Counter()
        self.links: list[str] = []
        self.headings: list[int] = []
        self.tags: Counter[str] = Counter()
        self.attributes: list[tuple[str, str | None]] = []
        self.tables: list[list[str]] = []
        self.shown: list[str] = []
        self.feed(markup)
        self.close()
        assert not self.open, f"never closed: {self.open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.attributes.extend(attrs)
        found = dict(attrs)
        if found.get("id"):
            self.ids[str(found["id"])] += 1
        if tag == "a":
            self.links.append(str(found["href"]))
        if re.fullmatch(r"h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "table":
            self.tables.append([])
        if tag == "th" and self.tables:
            self.tables[-1].append(str(found.get("scope")))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open.pop() == tag, f"</{tag}> closes nothing that is open"

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.shown.append(data)
