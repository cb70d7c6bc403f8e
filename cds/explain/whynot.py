"""Why not more: for each rung above what the path allows, what keeps it shut, and which rules.

The reasons of one rung stand in the order of what would have to change (`by`): an answer, something
that today can bring (consent, training, examination), the response over the course, local policy,
and last what stands whatever is done.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cds.engine.path import AT_MOST_TREATED, NO_SKIP, Resolved, Resolver
from cds.engine.readings import Readings
from cds.explain.words import filled, title_of, word
from cds.rulebook.book import Basis
from cds.rulebook.program import Program, Slot
from cds.vocabulary.advice import OpenQuestion
from cds.vocabulary.model import CARE, URGENCIES, at_level
from cds.vocabulary.reasons import WhyNot

BY = ("answer", "today", "course", "policy", "stands", "below", "moment")
"""What would have to change, the nearest at hand first."""

_BASIS: dict[Basis | None, tuple[str, str]] = {
    Basis.CONSENT: ("today", "The patient's consent to it would have to be given, and recorded"),
    Basis.TRAINING: ("today", "It would need a therapist who is trained in it"),
    Basis.SCREENING: ("today", "It would have to be examined today first"),
    Basis.RESPONSE: ("course", "The response would have to change first"),
    Basis.POLICY: ("policy", "Only a change of local policy opens it"),
    Basis.CONTRAINDICATION: ("stands", "It stays shut while this stands"),
    Basis.PRECAUTION: ("stands", "It stays shut while this stands"),
    None: ("stands", "It stays shut while this stands"),
}
_FIXED = {
    "target": ("course", "A response that earns the next rung would have to come first."),
    "session": ("course", "Another session, in which it is this level's turn."),
    "below": ("below", "What keeps the rung below it would have to go first."),
    "moment": ("moment", "It would need a session that is under way."),
}


def why_not(
    program: Program,
    resolver: Resolver,
    readings: Readings,
    resolved: Resolved,
    levels: list[str],
    questions: Sequence[OpenQuestion] = (),
) -> list[WhyNot]:
    """For each level, every hands-on rung above its up_to, from the nearest up, with all its
    keepers. `questions`: the open ones, to say which answer would have to come."""
    asked = _Asked(program, questions)
    found: list[WhyNot] = []
    for level in levels:
        path = resolved.paths[level]
        for rung in program.ladder.rungs:
            if rung.name not in resolver.needs or rung.name in path.steps:
                continue
            if resolver.place[rung.name] < resolver.place[path.up_to]:
                continue
            keepers = _keepers(program, resolver, readings, resolved, level, rung.name, asked)
            found.extend(sorted(keepers, key=lambda entry: BY.index(entry["by"])))
    return found


class _Asked:
    """Which open questions a rule waits for."""

    def __init__(self, program: Program, questions: Sequence[OpenQuestion]) -> None:
        self.program = program
        self.of: dict[str, list[OpenQuestion]] = {}
        self.said: dict[tuple[frozenset[str], str], tuple[list[str], str]] = {}
        self.strong: dict[str, _Said] = {}
        for question in questions:
            for rule in question["rules"]:
                self.of.setdefault(rule, []).append(question)

    def wait(self, rules: Iterable[str], level: str) -> tuple[list[str], str]:
        """The findings, by grounded name, that these rules wait for at this level, and in words."""
        key = frozenset(rules), level
        found = self.said.get(key)
        if found is None:
            names = self._names(key[0], level)
            found = self.said[key] = names, self._change(names)
        return found

    def strongly(self, readings: Readings, conclusion: str, least: int) -> _Said:
        """`_strong`, looked for once for all rungs and levels."""
        found = self.strong.get(conclusion)
        if found is None:
            found = self.strong[conclusion] = _strong(self.program, readings, conclusion, least)
        return found

    def _names(self, rules: Iterable[str], level: str) -> list[str]:
        found: dict[str, None] = {}
        for rule in sorted(rules):
            for question in self.of.get(rule, ()):
                where = question.get("level")
                if where in (None, level):
                    found[at_level(question["finding"], where)] = None
        return list(found)

    def _change(self, names: list[str]) -> str:
        if not names:
            return "What this rule asks would have to be answered."
        titles = list(dict.fromkeys(title_of(self.program, name) for name in names))
        return f"Would have to be answered: {'; '.join(titles)}."


def _keepers(
    program: Program,
    resolver: Resolver,
    readings: Readings,
    resolved: Resolved,
    level: str,
    rung: str,
    asked: _Asked,
) -> list[WhyNot]:
    family, need = resolver.needs[rung]
    found: list[WhyNot] = []

    def add(kind: str, rules: set[str], text: str, by: str, change: str) -> None:
        found.append(
            {"level": level, "rung": rung, "kind": kind, "rules": sorted(rules), "text": text,
             "by": by, "change": change}
        )  # fmt: skip

    def add_said(kind: str, held_kind: str, said: _Said, text: str, held_text: str) -> None:
        """Rules that keep it shut: by what each would need, and those held while unknown."""
        grouped: dict[tuple[str, str], set[str]] = {}
        for rule in said[0]:
            grouped.setdefault(_BASIS[program.rules[rule].basis], set()).add(rule)
        for (by, change), rules in sorted(grouped.items()):
            titles = "; ".join(sorted(_title(program, rule, level) for rule in rules))
            add(kind, rules, text, by, f"{change}: {titles}.")
        if said[1]:
            names, change = asked.wait(said[1], level)
            add(held_kind, said[1], held_text, "answer", change)
            if names:
                found[-1]["questions"] = list(names)

    if resolved.urgency >= resolver.urgent:
        text = f"A referral that is {word(URGENCIES[resolved.urgency])} comes first."
        said = asked.strongly(readings, "referral", resolver.urgent)
        add_said("referral", "referral", said, text, text)
    if resolved.care >= resolver.no_hands_on:
        text = f"Care today is {word(CARE[resolved.care])}."
        said = asked.strongly(readings, "care_today", resolver.no_hands_on)
        add_said("care", "care", said, text, text)
    title = program.ladder.family(family).title
    for where in (None, level):
        slot = readings.slot("limit", family, where)
        if slot is not None:
            add_said(
                "limit",
                "held",
                _below(program, readings, slot, need),
                f"The limit on {title} bars it.",
                f"The limit on {title} is held until its questions are answered.",
            )
    slot = readings.slot("indication", family, level)
    if slot is None or not readings.said(slot).fired:
        could = {program.instances[n].rule for n in slot.writers} if slot is not None else set()
        waiting = {program.instances[n].rule for n, _ in readings.said(slot).could} if slot else ()
        names, words = asked.wait(waiting, level)
        by, change = "today", "Findings that call for it would have to be there on examination."
        if waiting:
            by, change = "answer", words
        add("indication", could, "Nothing recorded indicates it at this level.", by, change)
        if names:
            found[-1]["questions"] = list(names)
    if resolver.place[rung] > resolved.targets[level]:
        rules = set()
        for where in (None, level):
            target = readings.slot("target", None, where)
            if target is not None:
                rules |= {program.instances[n].rule for n, _ in readings.said(target).fired}
        add("target", rules, "Above the rung that response and need call for today.",
            *_FIXED["target"])  # fmt: skip
    below = program.ladder.rung_names[resolver.place[rung] - 1]
    if rung in NO_SKIP and not found and below in resolved.paths[level].steps:
        add(
            "session",
            set(),
            f"At most {AT_MOST_TREATED} levels are treated in a session, and thrust is used in one "
            "region of the spine; it is not this level's turn.",
            *_FIXED["session"],
        )
    if rung in NO_SKIP and not found and not resolved.capped:
        text = f"The rung directly below, {word(below)}, is not open."
        add("below", set(), text, *_FIXED["below"])
    if not found:
        add("moment", set(), "Treatment is not under way at this moment.", *_FIXED["moment"])
    return found


_Said = tuple[set[str], set[str]]
"""Rules that fired, and rules held while unknown that did not fire for it as well."""


def _strong(program: Program, readings: Readings, conclusion: str, least: int) -> _Said:
    """The rules that put a case slot of this conclusion at `least` or further."""
    fired: set[str] = set()
    held: set[str] = set()
    for slot in program.slots:
        if slot.conclusion == conclusion and slot.level is None:
            said = readings.said(slot)
            fired |= {program.instances[n].rule for n, value in said.fired if value >= least}
            held |= {program.instances[n].rule for n, value in said.held if value >= least}
    return fired, held - fired


def _below(program: Program, readings: Readings, slot: Slot, need: int) -> _Said:
    """The rules that keep a limit below what a rung needs."""
    said = readings.said(slot)
    return (
        {program.instances[n].rule for n, value in said.fired if value < need},
        {program.instances[n].rule for n, value in said.held if value < need},
    )


def _title(program: Program, rule: str, level: str) -> str:
    """A rule's title at a level; a rule for each side is named once."""
    title = filled(program.rules[rule].title, level, None)
    return title.replace("{side}", "one side").replace("{other_side}", "the other side")
