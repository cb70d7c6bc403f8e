"""What things are called and where they stand: titles, anchors and links.

The report links inside itself; pages that show one thing each give `Terms` their own addresses.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from cds.assure.report.html import Child, Html, el, join
from cds.assure.report.links import Links, links_of
from cds.explain.words import number_text, word
from cds.rulebook.program import Program
from cds.vocabulary.model import Feature, Finding

_UNITS = {
    "1": "", "a": "years", "mo": "months", "wk": "weeks", "d": "days", "h": "hours",
    "min": "minutes", "s": "seconds", "Cel": "°C", "mm[Hg]": "mmHg", "mg/d": "mg a day",
    "{points}": "points",
}  # fmt: skip
_HOLE = re.compile(r"\{(side|other_side|level)\}")


def in_report(kind: str, name: str) -> str:
    """Where a thing stands in the report: below its anchor; a part below its own name."""
    return f"#{name if kind == 'part' else anchor(kind, name)}"


@dataclass(frozen=True, slots=True)
class Terms:
    """A rule book and its links, and the words for everything in it.

    `at` says where a thing of some kind and name is read.
    """

    program: Program
    links: Links
    at: Callable[[str, str], str] = in_report

    def link(self, kind: str, name: str, *text: Child, **attributes: str) -> Html:
        """A link to where a thing is read."""
        return el("a", *text, href=self.at(kind, name), **attributes)

    def heading(self, kind: str, name: str, title: Child) -> Child:
        """The title of an entry: a link where the thing has a page of its own."""
        return title if self.at(kind, name).startswith("#") else self.link(kind, name, title)

    def declared(self, name: str) -> Finding | Feature | None:
        """The finding or feature of this name."""
        return self.program.findings.get(name) or self.program.features.get(name)

    def term(self, name: str) -> Html:
        """The title of a finding or feature, linked."""
        finding = self.program.findings.get(name)
        if finding is not None:
            return self.link("finding", name, finding.title)
        feature = self.program.features.get(name)
        if feature is not None:
            return self.link("computed", name, feature.title)
        return value(self.slot(name))

    def slot(self, name: str) -> str:
        """The title of a conclusion, with its key's: `concern.fracture`, `segment.limit.thrust`."""
        conclusion, _, key = name.removeprefix("segment.").partition(".")
        entry = self.program.conclusions.get(conclusion)
        title = entry.title if entry is not None else word(conclusion)
        return f"{title}, {self.key(conclusion, key)}" if key else title

    def key(self, conclusion: str, key: str) -> str:
        """The title of a conclusion's key: a destination, condition or family."""
        if conclusion == "referral":
            return self.program.destinations.get(key, word(key))
        if conclusion == "concern":
            return self.program.concerns.get(key, word(key))
        return self.family(key)

    def family(self, name: str) -> str:
        """The title of a family of techniques, loads or positions."""
        for family in self.program.ladder.families:
            if family.name == name:
                return family.title
        return word(name)

    def rung(self, name: str) -> str:
        """The title of a rung, or the word itself."""
        for rung in self.program.ladder.rungs:
            if rung.name == name:
                return rung.title
        return word(name)

    def word(self, name: str, text: str) -> str:
        """A value of the finding, feature or conclusion `name`, for people."""
        if text in ("{side}", "{other_side}"):
            return "this side" if text == "{side}" else "the other side"
        known = self.declared(name)
        values = known.values if known is not None else ()
        rungs = self.program.ladder.rung_names
        return self.rung(text) if values == rungs or name.endswith("target") else word(text)

    def rules(self, ids: Iterable[str]) -> list[Html]:
        """Links to rules, each with its number and title."""
        return [
            self.link(
                "rule",
                rule,
                el("span", f"{self.links.numbers[rule]} ", class_="no"),
                self.program.rules[rule].title,
            )
            for rule in ids
        ]


def terms_of(program: Program, at: Callable[[str, str], str] = in_report) -> Terms:
    """The words of a rule book."""
    return Terms(program, links_of(program), at)


def anchor(kind: str, name: str) -> str:
    """The anchor of one thing: `rule-major-trauma`, `finding-pain`."""
    return f"{kind}-{name}"


def link(target: str, *text: Child) -> Html:
    """A link inside the report."""
    return el("a", *text, href=f"#{target}")


def value(text: str) -> Html:
    """A value, set apart from the words around it."""
    return el("b", text)


def number(amount: Decimal, unit: str | None) -> str:
    """A number with its unit in words: `-2.5 T-score`, `28 days`."""
    sign = number_text(amount).replace("-", "−")
    shown = unit_words(unit)
    return f"{sign} {shown}" if shown else sign


def unit_words(unit: str | None) -> str:
    """A UCUM unit in words; an annotation in braces is its own word."""
    if unit is None:
        return ""
    return _UNITS.get(unit, unit.strip("{}") if unit.startswith("{") else unit)


def named(topic: str) -> str:
    """An id as a heading: `red_flags` is `Red flags`."""
    text = re.sub(r"[_-]", " ", topic)
    return text[:1].upper() + text[1:]


def with_holes(text: str) -> Html:
    """A card's text, its places for side and level shown as words that will be filled in."""
    parts: list[Child] = []
    for number_, part in enumerate(_HOLE.split(text)):
        parts.append(el("var", part.replace("_", " ")) if number_ % 2 else part)
    return join(parts)


def spoken(text: str) -> str:
    """The same for attributes, where nothing can be set apart."""
    return _HOLE.sub(lambda hole: hole.group(1).replace("_", " "), text)
