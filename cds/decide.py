"""Program + Case -> Advice. Pure: no clock, no input or output, no randomness; same bytes each time.

The way: age the answers, compute features, judge (fired and open rules), read every slot three ways,
resolve the path per level, tell the prepare rules what the path is, let them choose cards and words,
then account for all of it (chain, why not, open questions).
"""

from __future__ import annotations

from collections.abc import Mapping

from cds.engine.chainer import Chainer, Run
from cds.engine.path import LevelPath, Resolved, Resolver, least_careful, most_careful, now
from cds.engine.port import Inputs
from cds.engine.readings import Readings
from cds.explain.answers import answers, asked_line
from cds.explain.chain import build_chain
from cds.explain.effects import Effects
from cds.explain.headline import Found, headline, status
from cds.explain.library import cards, exercises, said
from cds.explain.limits import limits, scale
from cds.explain.outcomes import bars_all, cited_sources, concerns, next_step, referrals
from cds.explain.questions import open_questions
from cds.explain.whynot import why_not
from cds.features.compute import inputs as all_inputs
from cds.features.order import Turn, order
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, Path, SegmentAdvice
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case
from cds.vocabulary.values import Choice, Input
from cds.vocabulary.vocabulary import Vocabulary

AT_MOST_TREATED = 2
"""Levels treated in one session (clinic, common practice)."""

RELIABILITY = (
    "Side of prominence by palpation agrees poorly between examiners (kappa 0.04 to 0.17, L1 to L5, "
    "untrained); it is never the only reason for a technique."
)
"""From a review of asymmetry assessment, PMC3124075 (read)."""


class Decider:
    """Decides cases of one program; holds only what is derived from the program."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.vocabulary = Vocabulary.of(program)
        self.chainer = Chainer(program)
        self.resolver = Resolver(program)
        self.effects = Effects(program)

    def decide(self, case: Case) -> Advice:
        """The full advice for one case."""
        program, resolver = self.program, self.resolver
        standing = stand(self.vocabulary, case)
        inputs = all_inputs(program, case, standing)
        run = self.chainer.start(inputs)
        readings = Readings(program, run.outcome())
        turns = order(case, inputs.values)
        levels = tuple(turn.level for turn in turns)
        last = case.steps[-1].rung if case.steps else None

        def resolve(careful: object, permissive: object) -> Resolved:
            return resolver.resolve(readings, levels, case.moment, careful, permissive, last)  # type: ignore[arg-type]

        as_now = resolve(now, now)
        treated = [level for level in levels if as_now.paths[level].steps][:AT_MOST_TREATED]
        as_now = resolver.treated(as_now, treated)
        fired = resolver.treated(resolve(least_careful, now), treated or list(levels))
        most = resolve(most_careful, most_careful)
        least = resolve(least_careful, least_careful)

        path = path_inputs(as_now, levels)
        run.extend(path)
        readings = Readings(program, run.outcome())
        inputs = Inputs({**inputs.values, **path}, inputs.levels)

        questions = open_questions(
            program, readings, self.effects, run.truth, standing.missing
        )
        found = Found(
            now=as_now,
            fired=fired,
            referrals=referrals(program, readings),
            concerns=concerns(program, readings),
            questions=questions,
            moment=case.moment,
            asked=asked_line(program, case, standing),
            treated=treated,
            **bars_all(program, readings),
        )
        segments = [
            self._segment(readings, inputs.values, turn, i, treated, (as_now, most, least))
            for i, turn in enumerate(turns, start=1)
        ]
        advice: Advice = {
            "headline": headline(program, resolver, found),
            "status": status(resolver, found),
            "care_today": scale(readings, program.slots[program.slot_numbers["care_today"]]),
            "referrals": found.referrals,
            "concerns": found.concerns,
            "moment": case.moment,
            "as_of": case.as_of.isoformat(),
            "segments": segments,
            "path": self._case_path(as_now, most, least, treated),
            "limits": limits(program, readings, levels),
            "home": exercises(program, readings, as_now, treated or list(levels)),
            "retest": said(program, readings, "retest", treated),
            "cautions": said(program, readings, "cautions", list(levels)),
            "education": said(program, readings, "education", list(levels)),
            "safety_net": said(program, readings, "safety_net", list(levels)),
            "next_step": next_step(program, readings),
            "why_not": why_not(program, resolver, readings, as_now, list(levels)),
            "open_questions": questions,
            "answers": answers(program, standing),
            "chain": build_chain(program, inputs, readings, run.truth),
            "sources": [],
            "edition": {
                "title": program.title,
                "language": program.language,
                "digest": program.digest,
            },
            "scope_notice": list(program.scope_notice),
            "detail": "full",
        }
        advice["sources"] = cited_sources(program, advice)
        return advice

    def _segment(
        self,
        readings: Readings,
        values: Mapping[str, Input],
        turn: Turn,
        place: int,
        treated: list[str],
        resolved: tuple[Resolved, Resolved, Resolved],
    ) -> SegmentAdvice:
        level = turn.level
        sides = {}
        for name in ("flexed", "extended", "group"):
            side = _word(values, f"segment.{name}_side@{level}")
            if side in ("left", "right"):
                sides[name] = side
        indicated = [
            family.name
            for family in self.program.ladder.of_group("hands_on")
            if (slot := readings.slot("indication", family.name, level)) is not None
            and readings.said(slot).fired
        ]
        return {
            "level": level,
            "treat_today": level in treated,
            "order": place,
            "reason": turn.reason,
            "pattern": _word(values, f"segment.pattern@{level}") or "unknown",
            "sides": sides,
            "confidence": "low",
            "reliability": RELIABILITY,
            "indicated": indicated,
            "path": self._path(level, *resolved),
            "cards": cards(self.program, readings, resolved[0], level) if level in treated else [],
        }

    def _path(self, level: str, as_now: Resolved, most: Resolved, least: Resolved) -> Path:
        path = as_now.paths[level]
        ups = (path.up_to, most.paths[level].up_to, least.paths[level].up_to)
        return self._written(path, ups, self.resolver.rungs[as_now.targets[level]])

    def _case_path(
        self, as_now: Resolved, most: Resolved, least: Resolved, treated: list[str]
    ) -> Path:
        rungs = self.resolver.rungs
        steps = {rung for level in treated for rung in as_now.paths[level].steps}
        down = {rung for level in treated for rung in as_now.paths[level].step_down_to}
        path = LevelPath(
            as_now.start_at,
            as_now.up_to,
            tuple(r for r in rungs if r in steps),
            tuple(r for r in rungs if r in down),
        )
        target = max((as_now.targets[level] for level in treated), default=0)
        return self._written(path, (as_now.up_to, most.up_to, least.up_to), rungs[target])

    def _written(self, path: LevelPath, ups: tuple[str, str, str], target: str) -> Path:
        rungs = {rung.name: rung for rung in self.program.ladder.rungs}
        return {
            "start_at": path.start_at,
            "up_to": {"now": ups[0], "most_careful": ups[1], "least_careful": ups[2]},
            "target": target,
            "steps": [
                {"rung": name, "title": rungs[name].title, "gate": list(rungs[name].gate)}
                for name in path.steps
            ],
            "step_down_to": list(path.step_down_to),
        }


def path_inputs(resolved: Resolved, levels: tuple[str, ...]) -> dict[str, Input]:
    """What prepare rules may read of the path, as it stands now."""
    found: dict[str, Input] = {
        "path.up_to": Choice((resolved.up_to,)),
        "path.start_at": Choice((resolved.start_at,)),
        "path.hands_on": Choice(("yes" if resolved.hands_on else "no",)),
    }
    for level in levels:
        found[f"segment.path_up_to@{level}"] = Choice((resolved.paths[level].up_to,))
        found[f"segment.path_start_at@{level}"] = Choice((resolved.paths[level].start_at,))
    return found


def _word(values: Mapping[str, Input], name: str) -> str | None:
    value = values.get(name)
    return value.exact if isinstance(value, Choice) else None


_DECIDERS: dict[str, Decider] = {}


def decide(program: Program, case: Case) -> Advice:
    """The full advice for one case. Raises nothing for a checked case of the same vocabulary."""
    decider = _DECIDERS.get(program.digest)
    if decider is None or decider.program is not program:
        if len(_DECIDERS) >= 8:
            _DECIDERS.clear()
        decider = _DECIDERS[program.digest] = Decider(program)
    return decider.decide(case)


__all__ = ["AT_MOST_TREATED", "Decider", "Run", "decide", "path_inputs"]
