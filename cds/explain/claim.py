"""What a headline says, as something that any few steps of the chain either conclude or do not.

A headline claims no more than its words: an emergency its urgency and the conditions it names, a
bar that hands-on care is barred, a path where it starts and where it ends at each level treated. A
claim is tried on a handful of steps as if no other rule had fired or been held.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from cds.engine.path import Resolver, least_careful, now
from cds.engine.port import Outcome
from cds.engine.readings import Readings
from cds.explain.outcomes import bars_all
from cds.explain.words import input_of
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, ChainStep, Limit
from cds.vocabulary.model import CARE, URGENCIES, slot_name

Instances = dict[tuple[str, str | None, str | None], int]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A slot and a value that would help to conclude it. `held`: a hold may say it too.

    `one`: the best step that says it is enough; else all of them may be needed.
    """

    slot: str
    value: str
    held: bool = True
    one: bool = True


@dataclass(frozen=True)
class Claim:
    """What the headline says: what to look for, and whether some readings say it."""

    program: Program
    instances: Instances
    says: Callable[[Readings], bool]
    wanted: list[Wanted]
    absent: list[str]

    def holds(self, steps: Iterable[ChainStep]) -> bool:
        """Whether these steps, with nothing else fired or held, say what the headline says."""
        fired: list[int] = []
        opened: list[int] = []
        for step in steps:
            key = step["rule"], step.get("level"), step.get("side")
            (fired if step["status"] == "fired" else opened).append(self.instances[key])
        return self.says(Readings(self.program, Outcome(tuple(sorted(fired)), tuple(opened))))


def claim_of(program: Program, resolver: Resolver, advice: Advice) -> Claim:
    """The claim of an advice's headline."""
    kind = advice["headline"]["kind"]
    if kind in ("emergency", "refer"):
        says, wanted, absent = _referral(program, advice)
    elif kind == "no_hands_on":
        says, wanted, absent = _barred(program, advice)
    elif kind == "not_settled":
        says, wanted, absent = _waiting(program, resolver, advice)
    elif kind == "hands_on":
        says, wanted, absent = _path(program, resolver, advice)
    else:
        says, wanted, absent = _nothing(advice)
    instances = {(i.rule, i.level, i.side): i.number for i in program.instances}
    return Claim(program, instances, says, wanted, absent)


_Parts = tuple[Callable[[Readings], bool], list[Wanted], list[str]]


def _referral(program: Program, advice: Advice) -> _Parts:
    """The gravest referrals that a fired rule makes, and the conditions the headline names."""
    gravest = max((r["urgency"]["least_careful"] for r in advice["referrals"]), key=URGENCIES.index)
    wanted = [
        Wanted(slot_name("referral", r["to"]), gravest, held=False)
        for r in advice["referrals"]
        if r["urgency"]["least_careful"] == gravest
    ]
    wanted += [
        Wanted(slot_name("concern", c["condition"]), c["level"]["least_careful"], held=False)
        for c in advice["concerns"]
        if c["level"]["least_careful"] in ("high", "emergency")
    ]

    def says(readings: Readings) -> bool:
        return all(
            _read(program, readings, want.slot, least_careful) == want.value for want in wanted
        )

    return says, wanted, []


def _barred(program: Program, advice: Advice) -> _Parts:
    """Fired rules alone bar every hands-on family, or care today."""

    def says(readings: Readings) -> bool:
        return bars_all(program, readings)["bars_all"]

    wanted = [Wanted("care_today", CARE[-1], held=False)]
    wanted += [
        Wanted(_slot(entry), "barred", held=False)
        for entry in advice["limits"]
        if entry["group"] == "hands_on" and "level" not in entry
    ]
    return says, wanted, []


def _waiting(program: Program, resolver: Resolver, advice: Advice) -> _Parts:
    """What is held keeps hands off: a referral, care today, or every technique that it bars."""
    urgency = max((r["urgency"]["now"] for r in advice["referrals"]), key=URGENCIES.index,
                  default=URGENCIES[0])  # fmt: skip
    if URGENCIES.index(urgency) >= resolver.urgent:
        wanted = [
            Wanted(slot_name("referral", r["to"]), urgency)
            for r in advice["referrals"]
            if r["urgency"]["now"] == urgency
        ]
        return (
            lambda readings: any(_read(program, readings, w.slot, now) == w.value for w in wanted),
            wanted,
            [],
        )
    if advice["care_today"]["now"] == CARE[-1]:
        want = Wanted("care_today", CARE[-1])
        return (
            lambda readings: _read(program, readings, want.slot, now) == want.value,
            [want],
            [],
        )
    barred = [
        entry
        for entry in advice["limits"]
        if entry["group"] == "hands_on" and entry["most"]["now"] == "barred"
    ]
    everywhere = {entry["family"] for entry in barred if "level" not in entry}
    named = [(entry["family"], entry.get("level")) for entry in barred
             if "level" not in entry or entry["family"] not in everywhere]  # fmt: skip

    def says(readings: Readings) -> bool:
        return all(
            _read(program, readings, slot_name("limit", family, level), now) == "barred"
            for family, level in named
        )

    wanted = [Wanted(slot_name("limit", family, level), "barred") for family, level in named]
    absent = [] if named else ["Nothing recorded opens a technique yet."]
    return says, wanted, absent


def _path(program: Program, resolver: Resolver, advice: Advice) -> _Parts:
    """Where the path starts and where it ends, at each level treated today."""
    treated = [segment for segment in advice["segments"] if segment["treat_today"]]
    values = {
        entry["name"]: value
        for entry in advice["chain"]["inputs"]
        if entry["name"] in ("moment", "today.last_rung")
        and (value := input_of(program, dict(entry))) is not None
    }
    levels = tuple(segment["level"] for segment in treated)

    def says(readings: Readings) -> bool:
        resolved = resolver.paths(readings, levels, values).now
        return all(
            (found := resolved.paths[segment["level"]]).up_to == segment["path"]["up_to"]["now"]
            and found.start_at == segment["path"]["start_at"]
            for segment in treated
        )

    wanted: list[Wanted] = []
    for segment in treated:
        level, target = segment["level"], segment["path"]["target"]
        wanted += [
            Wanted(slot_name("indication", family.name, level), "yes")
            for family in program.ladder.of_group("hands_on")
        ]
        wanted += [Wanted(slot_name("target", None, at), target) for at in (None, level)]
        # where case and level both set one, the higher of the two is not the target that counts
        wanted += [
            Wanted(slot_name("target", None, at), rung, one=False)
            for at in (None, level)
            for rung in resolver.rungs[resolver.place[target] + 1 :]
        ]
    wanted += [
        Wanted(_slot(entry), entry["most"]["now"])
        for entry in advice["limits"]
        if entry["group"] == "hands_on" and entry.get("level") in (None, *levels)
    ]
    return says, wanted, []


def _nothing(advice: Advice) -> _Parts:
    """Headlines that rest on what no rule concluded."""
    absent = {
        "contact": "No rule that fired asks for a referral or stops the plan.",
        "after_session": "The session is over: no technique is offered at this moment.",
    }.get(
        advice["headline"]["kind"],
        "No rule that fired gives a technique and its indication at any level that is open.",
    )
    return (lambda _: True), [], [absent]


def _read(program: Program, readings: Readings, name: str, pick: Callable[..., int]) -> str | None:
    number = program.slot_numbers.get(name)
    if number is None:
        return None
    slot = program.slots[number]
    return slot.values[pick(readings.bounds(slot))]


def _slot(entry: Limit) -> str:
    return slot_name("limit", entry["family"], entry.get("level"))
