"""The rule book of one edition as its pages need it: words, addresses, texts to search in.

Every sentence comes from the renderers of the report, so the pages say what governance signed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from markupsafe import Markup

from cds.assure.exercised import Exercised
from cds.assure.report.effects import effects
from cds.assure.report.evidence import CERTAINTY, certainty
from cds.assure.report.html import Html, join
from cds.assure.report.rules import said
from cds.assure.report.terms import Terms, anchor, named, terms_of
from cds.rulebook.book import Rule
from cds.rulebook.program import Program

PAGES = {
    "rule": "/rulebook/rules",
    "finding": "/rulebook/findings",
    "computed": "/rulebook/findings",
    "card": "/rulebook/cards",
    "exercise": "/rulebook/exercises",
    "source": "/rulebook/sources",
}
"""Kinds of which each thing has a page of its own."""
PLACES = {
    "policy": "/rulebook/policy",
    "text": "/rulebook/texts",
    "block": "/rulebook/findings",
    "family": "/rulebook/ladder",
    "rung": "/rulebook/ladder",
}
"""Kinds that stand together on one page, each below its anchor."""


_BLOCK = re.compile(r"<(?:p|li|ul|ol|div|dt|dd)\b")


def address(kind: str, name: str) -> str:
    """Where a thing is read. These addresses stay: advice links to them."""
    if kind in PAGES:
        return f"{PAGES[kind]}/{name}"
    if kind in PLACES:
        return f"{PLACES[kind]}#{anchor(kind, name)}"
    return f"/rulebook?topic={name}" if kind == "topic" else f"/rulebook/{name}"


def bare(markup: Html) -> str:
    """What a reader sees of the markup, as one line."""
    return Markup(_BLOCK.sub(r" \g<0>", markup)).striptags()


@dataclass(frozen=True)
class Shelf:
    """One edition's rule book. `fixtures`: rule -> what exercises it; None where not installed."""

    program: Program
    fixtures: Mapping[str, tuple[Exercised, ...]] | None

    @cached_property
    def terms(self) -> Terms:
        """The words of the book, with the addresses of its pages."""
        return terms_of(self.program, address)

    @cached_property
    def rules(self) -> tuple[Rule, ...]:
        """Every rule in reading order."""
        return tuple(self.program.rules[rule] for rule in self.terms.links.numbers)

    @cached_property
    def texts(self) -> Mapping[str, str]:
        """Rule id -> everything that can be found of it, in lower case."""
        return {rule.id: self._text(rule).casefold() for rule in self.rules}

    def _text(self, rule: Rule) -> str:
        cited = [
            f"{entry.title} {proof.at or ''}"
            for proof in rule.evidence
            if (entry := self.program.sources.get(proof.source or "")) is not None
        ]
        own = [proof.common_practice or "" for proof in rule.evidence]
        markup = join(said(self.terms, rule))
        return " ".join((rule.id, rule.title, named(rule.topic), bare(markup), *cited, *own))

    @cached_property
    def gists(self) -> Mapping[str, str]:
        """Rule id -> what follows from it, as one line."""
        return {rule.id: bare(join(effects(self.terms, rule.then), " ")) for rule in self.rules}

    def sureness(self, rule: Rule) -> tuple[str, ...]:
        """Certainties of what a rule rests on, the least sure first; keys of `CERTAINTY`."""
        found = {certainty(self.program, proof) for proof in rule.evidence}
        return tuple(key for key in CERTAINTY if key in found)
