"""Open questions as a therapist asks them, each with every answer it may have.

The questions of one block are one, whose first answer is "none of these". A number has the answers
that a test or feature tells apart. What waits for the record (consent, the last session) is asked
as the places of the record that bear on it. Everything is computed from the program.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from cds.decide import Decider
from cds.explain.words import title_of, word
from cds.features.compute import inputs as all_inputs
from cds.rulebook.program import Program
from cds.vocabulary.advice import OpenQuestion
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case
from cds.vocabulary.model import NAMELESS, Finding, Kind, at_level
from cds.vocabulary.reading_parts import OLDEST
from cds.vocabulary.reading_values import raw
from cds.vocabulary.values import Amount, Choice, Input
from cds.vocabulary.vocabulary import none_of_these
from cds.whatif.look import Look
from cds.whatif.records import Place, bearing, places
from cds.whatif.replies import Entry, Reply, Said, told
from cds.whatif.thresholds import cuts, ends, worth_trying

NOTHING_NEW = "none of these"


@dataclass(frozen=True, slots=True)
class Option:
    """One possible answer: its words and what is said by it. `number` where it is one."""

    words: str
    said: tuple[Said, ...]
    number: int | None = None


@dataclass(frozen=True)
class Ask:
    """One question. `key` names it: `fall`, `segment.mobility@L5`, `block:bone`,
    `record:consents.today`.

    `owed`: something is held until it is answered. `members`: the findings it asks for, `part`: the
    part of the record. `can`: whether it can be answered here at all (a list of levels cannot, nor
    a history). Its answers are worked out when they are first wanted.
    """

    key: str
    ask: str
    title: str
    owed: bool
    make: Callable[[], tuple[Option, ...]] | None = field(default=None, compare=False, repr=False)
    members: tuple[tuple[str, str | None], ...] = ()
    part: str | None = None
    block: str | None = None

    @property
    def can(self) -> bool:
        """Whether it has answers."""
        return self.make is not None

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """Every possible answer."""
        return self.make() if self.make is not None else ()


Memo = dict[object, list[Place]]
"""Places of the record by what they were found from: cases that differ elsewhere share them."""


def asks(decider: Decider, look: Look, memo: Memo | None = None) -> list[Ask]:
    """Every open question of a judged case once, the most consequential first."""
    found: dict[str, Ask] = {}
    for question in look.questions:
        for ask in of_question(decider, look, question, {} if memo is None else memo):
            found.setdefault(ask.key, ask)
    return list(found.values())


def of_question(decider: Decider, look: Look, question: OpenQuestion, memo: Memo) -> list[Ask]:
    """The question, or what of the record it waits for, as it is asked."""
    name, level = question["finding"], question.get("level")
    finding = decider.program.findings.get(name)
    if finding is None:
        return _of_record(decider, look, question, memo)
    if level == NAMELESS:
        return [_levels(question)]  # fmt: skip
    block = question.get("block")
    if block is not None and not question["alone"]:
        members = _open_members(decider, look, block)
        if name in members:
            return [of_block(decider, look, block, members)]
    return [of_finding(decider, look, finding, level, question["owed"])]


def of_finding(
    decider: Decider, look: Look, finding: Finding, level: str | None, owed: bool = False
) -> Ask:
    """One finding asked by itself, with all its answers."""
    key = at_level(finding.name, level)

    def make() -> tuple[Option, ...]:
        return tuple(
            Option(text, (Reply(finding.name, level, value),), number)
            for text, value, number in _values(decider, look, finding, level)
        )

    can = not finding.numeric or _range(look.case, finding) is not None
    return Ask(
        key,
        finding.ask,
        title_of(decider.program, key),
        owed,
        make if can else None,
        ((finding.name, level),),
    )


def of_block(decider: Decider, look: Look, block: str, members: list[str]) -> Ask:
    """A block: none of these, or one of them with none of the others."""
    program = decider.program
    quiet = {name: none_of_these(program.findings[name]) or "" for name in members}

    def replies(said: dict[str, str]) -> tuple[Said, ...]:
        return tuple(
            Reply(name, None, Choice((said.get(name, quiet[name]),)),
                  "asked" if name in said else "by_block")
            for name in members
        )  # fmt: skip

    def make() -> tuple[Option, ...]:
        options = [Option(NOTHING_NEW, replies({}))]
        for name in members:
            finding = program.findings[name]
            for value in finding.values:
                if value != quiet[name]:
                    text = finding.title if value == "yes" else f"{finding.title}: {word(value)}"
                    options.append(Option(text, replies({name: value})))
        return tuple(options)

    owed = any(question["finding"] in members for question in look.owed)
    return Ask(
        f"block:{block}",
        program.blocks[block].ask,
        word(block),
        owed,
        make,
        tuple((name, None) for name in members),
        block=block,
    )


def _open_members(decider: Decider, look: Look, block: str) -> list[str]:
    """What the block's "none of these" would answer now: its findings without a value.

    One that may turn out not to apply is left to its own question unless that is open.
    """
    asked = {question["finding"] for question in look.questions}
    program = decider.program
    return [
        name
        for name in decider.vocabulary.blocks_of.get(block, ())
        if name in asked
        or (name in look.standing.missing and program.findings[name].applies_when is None)
    ]


# ---------------------------------------------------------------- values of a finding
def _values(
    decider: Decider, look: Look, finding: Finding, level: str | None
) -> list[tuple[str, Choice | Amount, int | None]]:
    if not finding.numeric:
        return [(word(value), Choice((value,)), None) for value in finding.values]
    limits = _range(look.case, finding)
    if limits is None:
        return []
    program, name = decider.program, at_level(finding.name, level)

    def seen(number: int) -> object:
        case = told(
            decider.vocabulary, look.case, [Reply(finding.name, level, Amount(number, number))]
        )
        values = all_inputs(program, case, stand(decider.vocabulary, case)).values
        return {key: value for key, value in values.items() if key != name}

    numbers = worth_trying(*limits, cuts(program, name), seen)
    return [(raw(finding, Amount(n, n)), Amount(n, n), n) for n in numbers]


def _range(case: Case, finding: Finding) -> tuple[int, int] | None:
    if finding.kind is Kind.DATE:
        today = case.as_of.toordinal()
        return today - 366 * OLDEST, today
    return ends(finding)


# ---------------------------------------------------------------- what waits for the record
def _of_record(decider: Decider, look: Look, question: OpenQuestion, memo: Memo) -> list[Ask]:
    program, case = decider.program, look.case
    name, level = question["finding"], question.get("level")
    grounded = at_level(name, level)
    found: list[Ask] = []
    for part in program.features[name].reads:
        if part in program.findings:
            continue
        if part == "segments" and case.segments is None:
            found.append(_levels(question))
            continue
        key = (grounded, part, _record_key(look, program.features[name].reads, level))
        if key not in memo:
            memo[key] = bearing(
                places(decider.vocabulary, case, part, _ages(program)),
                _probe(decider, look, grounded),
            )
        found += [_of_place(place, question) for place in memo[key]]
    if not found:
        title = program.features[name].title
        found.append(Ask(f"record:{grounded}", question["ask"], title, question["owed"]))
    return found


def _probe(decider: Decider, look: Look, grounded: str) -> Callable[..., Input | None]:
    """The value of a feature with entries made. Which answers count does not hang on them."""
    program = decider.program

    def probe(entries: tuple[Entry, ...]) -> Input | None:
        changed = told(decider.vocabulary, look.case, entries)
        return all_inputs(program, changed, look.standing).values.get(grounded)

    return probe


def _record_key(look: Look, reads: tuple[str, ...], level: str | None) -> object:
    """Everything of a case that a feature may be computed from: of answers only those it reads."""
    case, values = look.case, look.standing.values
    return (
        case.age_low, case.age_high, case.sex, case.clinician, tuple(sorted(case.training.items())),
        case.consents, case.consents_sent, case.referrals, case.referrals_sent, case.course,
        case.steps,
        tuple((s.level, s.flexion, s.neutral, s.extension) for s in case.segments or ()),
        tuple(values.get(read) for read in reads),
        tuple(values.get(at_level(read, level)) for read in reads),
    )  # fmt: skip


def _levels(question: OpenQuestion) -> Ask:
    return Ask("record:segments", "List the levels that were examined", "Levels", question["owed"])


def _of_place(place: Place, question: OpenQuestion) -> Ask:
    options = tuple(
        Option(word(str(entry.value)), (entry,), entry.value if place.key == "age" else None)
        for entry in place.entries
    )
    key = f"record:{place.part}.{place.key}"
    return Ask(key, place.title, place.title, question["owed"], lambda: options, part=place.part)


def _ages(program: Program) -> tuple[int, ...]:
    starts = {0, *(cut for cut in cuts(program, "age") if 0 < cut <= OLDEST)}
    return tuple(sorted({*starts, *(start - 1 for start in starts if start), OLDEST}))
