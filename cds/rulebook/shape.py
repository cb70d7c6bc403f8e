"""YAML trees to a `Book`: every section of every file, read in the order of what needs what.

Files may hold any section, in any number (`book` and `ladder` stand once). The order of files and
keys has no meaning, except for rungs and families of the ladder and for the parts of a visit: all
else is kept sorted by id
(what one rule writes and a dose stay as written; the Program puts writes in order).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from collections.abc import Mapping as Lookup
from typing import TypeVar

from cds.problems import Place, Problem, sorted_problems
from cds.rulebook.book import (
    Block,
    Book,
    Card,
    Exercise,
    PolicyChoice,
    PositionalRow,
    Rule,
    VisitPart,
)
from cds.rulebook.fields import Sink, as_items, as_mapping, hint
from cds.rulebook.shape_findings import read_block, read_finding, read_parameter, read_visit_part
from cds.rulebook.shape_library import (
    Defaults,
    read_card,
    read_defaults,
    read_exercise,
    read_row,
    read_source,
    read_text,
)
from cds.rulebook.shape_rules import Setting, read_rule
from cds.rulebook.shape_vocabulary import (
    read_conclusion,
    read_head,
    read_ladder,
    read_policy,
    read_titles,
)
from cds.rulebook.tree import Entry, Node
from cds.vocabulary.computed import FEATURES, features_for
from cds.vocabulary.core import PARAMETERS, core_conclusions
from cds.vocabulary.model import Finding, Ladder

LANGUAGE = 1

SECTIONS = (
    "language", "book", "parameters", "blocks", "findings", "destinations", "concerns",
    "conclusions", "ladder", "policy", "sources", "defaults", "rules", "cards", "exercises",
    "texts", "positional", "visit",
)  # fmt: skip
"""Every top-level key."""

_T = TypeVar("_T")


def shape_book(files: Lookup[str, Node]) -> tuple[Book | None, list[Problem]]:
    """The book that these files (path -> tree) are, and every problem of shape.

    The book is None when there was any problem: half a book would only cause false alarms in the
    checks that follow.
    """
    sink = Sink()
    book = _Shaper(files, sink).book()
    return (None if sink.problems else book), list(sorted_problems(sink.problems))


class _Shaper:
    """Gathers the sections of all files, then reads them."""

    def __init__(self, files: Lookup[str, Node], sink: Sink) -> None:
        self.sink = sink
        self.sections: dict[str, list[tuple[str, Entry]]] = {name: [] for name in SECTIONS}
        for file in sorted(files):
            root = as_mapping(files[file], "a rule file", sink)
            for entry in root.entries if root else ():
                self._section(file, entry)
        self.defaults = {
            file: read_defaults(entry.value, sink) for file, entry in self.sections["defaults"]
        }

    def _section(self, file: str, entry: Entry) -> None:
        if entry.key in self.sections:
            self.sections[entry.key].append((file, entry))
            return
        self.sink.error(
            "unknown-section",
            f"`{entry.key}` is no section of a rule book",
            entry.key_place,
            hint(entry.key, SECTIONS) or f"sections: {', '.join(SECTIONS)}",
        )

    def book(self) -> Book | None:
        """Read everything; None when a section is missing that everything else needs."""
        sink = self.sink
        head = self._once("book")
        title, scope = read_head(head.value, sink) if head else ("", ())
        policy: dict[str, PolicyChoice] = _by(
            "id", (read_policy(entry, sink) for entry in self._entries("policy"))
        )
        findings: dict[str, Finding] = _by(
            "name", (read_finding(entry, policy, sink) for entry in self._entries("findings"))
        )
        for name in sorted(findings.keys() & FEATURES.keys()):
            place = findings[name].place or Place("", 1, 1)
            sink.error("duplicate-id", f"`{name}` is computed by the program already", place)
        blocks: dict[str, Block] = _by(
            "id", (read_block(entry, sink) for entry in self._entries("blocks"))
        )
        ladder = self._ladder()
        cards: dict[str, Card] = _by("id", self._items("cards", read_card))
        exercises: dict[str, Exercise] = _by("id", self._items("exercises", read_exercise))
        texts = _by("id", (read_text(entry, sink) for entry in self._entries("texts")))
        destinations, concerns = self._titles("destinations"), self._titles("concerns")
        core = core_conclusions(destinations, concerns, ladder, cards, exercises, texts)
        own = _by("name", (read_conclusion(entry, sink) for entry in self._entries("conclusions")))
        conclusions = {**core, **own}
        setting = Setting(
            policy, conclusions, tuple(family.name for family in ladder.of_group("hands_on"))
        )
        rules: dict[str, Rule] = _by(
            "id",
            self._items(
                "rules", lambda node, defaults, sink: read_rule(node, defaults, setting, sink)
            ),
        )
        return Book(
            language=LANGUAGE,
            title=title,
            scope_notice=scope,
            findings=findings,
            features=features_for(ladder.rung_names),
            conclusions=conclusions,
            ladder=ladder,
            policy=policy,
            blocks=blocks,
            rules=rules,
            cards=cards,
            exercises=exercises,
            texts=texts,
            sources=_by("id", (read_source(entry, sink) for entry in self._entries("sources"))),
            positional=self._rows(),
            parameters=self._parameters(),
            destinations=destinations,
            concerns=concerns,
            visit=self._visit(),
        )

    def _once(self, section: str) -> Entry | None:
        """The one section of this name; reported when it is missing or stands twice."""
        found = self.sections[section]
        for _, entry in found:
            self.sink.declare("section", section, entry.key_place)
        if not found:
            first = min((file for file, _ in self._languages()), default="")
            self.sink.error(
                "missing-section", f"no file has the section `{section}`", Place(first, 1, 1)
            )
            return None
        return found[0][1]

    def _languages(self) -> Iterator[tuple[str, Entry]]:
        for section in self.sections.values():
            yield from section

    def _entries(self, section: str) -> Iterator[Entry]:
        """The members of every mapping called `section`."""
        for _, entry in self.sections[section]:
            mapping = as_mapping(entry.value, f"`{section}`", self.sink)
            yield from mapping.entries if mapping else ()

    def _items(
        self, section: str, read: Callable[[Node, Defaults, Sink], _T | None]
    ) -> Iterator[_T | None]:
        """The members of every list called `section`, read with the defaults of their file."""
        for file, entry in self.sections[section]:
            defaults = self.defaults.get(file, Defaults())
            for node in as_items(entry.value, f"`{section}`", self.sink):
                yield read(node, defaults, self.sink)

    def _ladder(self) -> Ladder:
        entry = self._once("ladder")
        ladder = read_ladder(entry.value, self.sink) if entry else None
        return ladder or Ladder((), ())

    def _titles(self, section: str) -> dict[str, str]:
        names: dict[str, str] = {}
        for _, entry in self.sections[section]:
            names.update(read_titles(entry.value, section, self.sink))
        return dict(sorted(names.items()))

    def _rows(self) -> tuple[PositionalRow, ...]:
        found: list[PositionalRow] = []
        for _, entry in self.sections["positional"]:
            for node in as_items(entry.value, "`positional`", self.sink):
                row = read_row(node, self.sink)
                if row is not None:
                    found.append(row)
        return tuple(sorted(found, key=lambda row: row.number))

    def _visit(self) -> tuple[VisitPart, ...]:
        """The parts of a visit, as written; one list in one file, because order has meaning."""
        if not self.sections["visit"]:
            return ()
        entry = self._once("visit")
        nodes = as_items(entry.value, "`visit`", self.sink) if entry else ()
        found = [read_visit_part(node, self.sink) for node in nodes]
        return tuple(part for part in found if part is not None)

    def _parameters(self) -> dict[str, int]:
        found = dict(PARAMETERS)
        for entry in self._entries("parameters"):
            read = read_parameter(entry, tuple(PARAMETERS), self.sink)
            if read is not None:
                found[read[0]] = read[1]
        return found


def _by(attribute: str, things: Iterator[_T | None]) -> dict[str, _T]:
    """Things by name or id, sorted, so that the order of files and keys never shows."""
    found = {str(getattr(thing, attribute)): thing for thing in things if thing is not None}
    return dict(sorted(found.items()))
