"""The ladder of one level: which rungs are today's, and what keeps the others shut."""

from __future__ import annotations

from dataclasses import dataclass, field

from cds.explain.sayings import grade_text
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, Holder, Limit, SegmentAdvice


@dataclass(frozen=True, slots=True)
class Held:
    """A rule that keeps a rung shut. `kind`: contraindication, policy, other; `status`: fired or
    held.
    """

    rule: str
    title: str
    kind: str
    status: str


@dataclass(frozen=True, slots=True)
class RungShown:
    """One rung. `state`: `today` (in the path), `below` (left out below it), `shut`."""

    rung: str
    title: str
    place: int
    state: str
    target: bool
    limit: str = ""
    held: tuple[Held, ...] = field(default=())
    also: tuple[str, ...] = field(default=())


def ladder(program: Program, advice: Advice, segment: SegmentAdvice) -> tuple[RungShown, ...]:
    """The hands-on rungs of one level, the highest first."""
    level = segment["level"]
    family_of = {
        rung: (family.name, need)
        for family in program.ladder.of_group("hands_on")
        for rung, need in family.rungs
    }
    order = [rung for rung in program.ladder.rungs if rung.name in family_of]
    today = {step["rung"] for step in segment["path"]["steps"]}
    places = {rung.name: place for place, rung in enumerate(order, start=1)}
    top = max((places[name] for name in today), default=0)
    found: list[RungShown] = []
    for rung in order:
        family, need = family_of[rung.name]
        state = "today" if rung.name in today else "below" if places[rung.name] < top else "shut"
        limits = [
            entry
            for entry in advice["limits"]
            if entry["family"] == family and entry.get("level") in (None, level)
        ]
        found.append(
            RungShown(
                rung.name,
                rung.title,
                places[rung.name],
                state,
                rung.name == segment["path"]["target"],
                _limit_text(limits),
                _held(program, limits, need) if state == "shut" else (),
                _also(advice, level, rung.name) if state == "shut" else (),
            )
        )
    return tuple(reversed(found))


def _limit_text(limits: list[Limit]) -> str:
    return "; ".join(dict.fromkeys(grade_text(entry["most"]["now"]) for entry in limits))


def _held(program: Program, limits: list[Limit], need: str) -> tuple[Held, ...]:
    """The holders whose value lies below what the rung needs."""
    found: dict[str, Held] = {}
    for entry in limits:
        values = program.ladder.family(entry["family"]).limits
        for kind, holders in (
            ("contraindication", entry["contraindications"]),
            ("policy", entry["policy"]),
            ("other", entry["others"]),
        ):
            for holder in holders:
                if values.index(holder["value"]) < values.index(need):
                    found.setdefault(holder["rule"], _shown(holder, kind))
    return tuple(sorted(found.values(), key=lambda held: held.status != "fired"))


def _shown(holder: Holder, kind: str) -> Held:
    word = holder["basis"] if kind != "policy" else "local policy"
    return Held(holder["rule"], holder["title"], word or kind, holder["status"])


def _also(advice: Advice, level: str, rung: str) -> tuple[str, ...]:
    """What else keeps the rung shut: the target, a missing indication, the day's two levels."""
    return tuple(
        dict.fromkeys(
            entry["text"]
            for entry in advice["why_not"]
            if entry["level"] == level and entry["rung"] == rung and entry["kind"] != "limit"
        )
    )
