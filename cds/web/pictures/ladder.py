"""The ladder of one level: which rungs are today's, and what keeps the others shut."""

from __future__ import annotations

from dataclasses import dataclass, field

from cds.explain.sayings import grade_text
from cds.explain.words import word
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, SegmentAdvice
from cds.vocabulary.reasons import WhyNot

WORDS = {
    "answer": "not settled",
    "today": "today",
    "course": "response",
    "policy": "local policy",
    "stands": "stands",
    "below": "rung below",
    "moment": "moment",
}
"""What would have to change (`WhyNot.by`), as a word in a frame."""


@dataclass(frozen=True, slots=True)
class Keeper:
    """One reason that keeps a rung shut. `open`: held only until it is answered."""

    word: str
    text: str
    change: str
    rules: tuple[str, ...]
    open: bool


@dataclass(frozen=True, slots=True)
class Tag:
    """A word in a frame beside a rung."""

    word: str
    open: bool


@dataclass(frozen=True, slots=True)
class RungShown:
    """One rung. `state`: `today` (in the path), `below` (left out below it), `shut`; `place`: from
    the lowest, 1; `target`: the rung that response and need reach; `limit`: at the highest rung of
    a family, the most of it that is open today.
    """

    rung: str
    title: str
    place: int
    state: str
    target: bool
    limit: str
    keepers: tuple[Keeper, ...] = field(default=())

    @property
    def tags(self) -> tuple[Tag, ...]:
        """The keepers' words, each once."""
        return tuple(dict.fromkeys(Tag(keeper.word, keeper.open) for keeper in self.keepers))


def ladder(program: Program, advice: Advice, segment: SegmentAdvice) -> tuple[RungShown, ...]:
    """The hands-on rungs of one level, the highest first; of a full advice."""
    families = program.ladder.of_group("hands_on")
    hands_on = {rung for family in families for rung, _ in family.rungs}
    order = [rung for rung in program.ladder.rungs if rung.name in hands_on]
    today = {step["rung"] for step in segment["path"]["steps"]}
    places = {rung.name: place for place, rung in enumerate(order, start=1)}
    top = max((places[name] for name in today), default=0)
    highest = {family.rungs[-1][0]: family.name for family in families}
    found: list[RungShown] = []
    for rung in order:
        state = "today" if rung.name in today else "below" if places[rung.name] < top else "shut"
        keepers = tuple(
            _keeper(program, entry)
            for entry in advice["why_not"]
            if entry["level"] == segment["level"] and entry["rung"] == rung.name
        )
        found.append(
            RungShown(
                rung.name,
                rung.title,
                places[rung.name],
                state,
                rung.name == segment["path"]["target"],
                _limit(program, advice, segment["level"], highest.get(rung.name)),
                keepers if state == "shut" else (),
            )
        )
    return tuple(reversed(found))


def _limit(program: Program, advice: Advice, level: str, family: str | None) -> str:
    """The lowest of the limits on this family, of the case and at this level; "" for none."""
    if family is None:
        return ""
    values = program.ladder.family(family).limits
    found = [
        values.index(entry["most"]["now"])
        for entry in advice["limits"]
        if entry["family"] == family and entry.get("level") in (None, level)
    ]
    lowest = min(found, default=len(values) - 1)
    return "" if lowest == len(values) - 1 else grade_text(values[lowest])


def _keeper(program: Program, entry: WhyNot) -> Keeper:
    """A contraindication and a choice of local policy are told apart by their word."""
    by = entry["by"]
    said = WORDS[by]
    bases = {program.rules[rule].basis for rule in entry["rules"]} - {None}
    if by in ("stands", "today") and len(bases) == 1:
        said = word(str(*(basis.value for basis in bases if basis is not None)))
    named = "; ".join(sorted(program.rules[rule].title for rule in entry["rules"]))
    change = entry["change"].removesuffix(f" {named}.")  # the page names them as links
    return Keeper(said, entry["text"], change, tuple(entry["rules"]), by == "answer")
