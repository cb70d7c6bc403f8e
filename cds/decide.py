"""Program + Case -> Advice. Pure: no clock, no input or output, no randomness; same bytes each
time.

The way: age the answers, compute features, judge (fired and open rules), read every slot three
ways,
resolve the path per level, tell the prepare rules what the path is, let them choose cards and
words,
then account for all of it (chain, why not, open questions).
"""

from __future__ import annotations

from collections.abc import Mapping

from cds.engine.chainer import Chainer
from cds.engine.path import LevelPath, Paths, Resolver, path_inputs
from cds.engine.port import Inputs
from cds.engine.readings import Readings
from cds.explain.answers import answers, asked_line
from cds.explain.chain import build_chain
from cds.explain.confidence import RELIABILITY, confidence
from cds.explain.effects import Effects
from cds.explain.headline import SETTLED, Found, headline, status
from cds.explain.information import consent_points, information
from cds.explain.library import cards, exercises, said, without_card
from cds.explain.limits import limits
from cds.explain.notmade import Missed
from cds.explain.outcomes import bars_all, care, cited_sources, concerns, next_step, referrals
from cds.explain.questions import open_questions
from cds.explain.whynot import why_not
from cds.explain.words import Phrases
from cds.features.compute import inputs as all_inputs
from cds.features.compute import record_of
from cds.features.order import Turn, order
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, Path, SegmentAdvice
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case, Segment
from cds.vocabulary.values import Choice, Input
from cds.vocabulary.vocabulary import Vocabulary


class Decider:
    """Decides cases of one program; holds only what is derived from the program."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.vocabulary = Vocabulary.of(program)
        self.chainer = Chainer(program)
        self.resolver = Resolver(program)
        self.effects = Effects(program)
        self.missed = Missed(program)
        self.phrases = Phrases(program)

    def decide(self, case: Case) -> Advice:
        """The full advice for one case."""
        program, resolver = self.program, self.resolver
        standing = stand(self.vocabulary, case)
        inputs = all_inputs(program, case, standing)
        run = self.chainer.start(inputs)
        readings = Readings(program, run.outcome())
        turns = order(case, inputs.values)
        levels = tuple(turn.level for turn in turns)
        paths = resolver.paths(readings, levels, inputs.values)
        treated = list(paths.treated)
        path = path_inputs(paths.now, levels)
        run.extend(path)
        readings = Readings(program, run.outcome())
        inputs = Inputs({**inputs.values, **path}, inputs.levels)

        questions = open_questions(
            program, readings, self.effects, run.node_state, standing.missing
        )
        found = Found(
            now=paths.now,
            fired=paths.fired,
            referrals=referrals(program, readings),
            concerns=concerns(program, readings),
            questions=questions,
            moment=case.moment,
            asked=asked_line(program, case, standing),
            treated=treated,
            barred_levels=resolver.barred(readings, paths.now),
            next_step=next_step(program, readings, SETTLED)["step"],
            **bars_all(program, readings),
        )
        palpated = {segment.level: segment for segment in case.segments or ()}
        segments = [
            self._segment(readings, inputs.values, turn, i, paths, palpated.get(turn.level))
            for i, turn in enumerate(turns, start=1)
        ]
        advice: Advice = {
            "headline": headline(program, resolver, found),
            "status": status(resolver, found),
            "care_today": care(readings),
            "referrals": found.referrals,
            "concerns": found.concerns,
            "moment": case.moment,
            "as_of": case.as_of.isoformat(),
            "segments": segments,
            "path": self._case_path(paths),
            "limits": limits(program, readings, levels),
            "home": exercises(program, readings, paths.now, treated or list(levels)),
            "retest": said(program, readings, "retest", treated),
            "cautions": said(program, readings, "cautions", list(levels)),
            "education": said(program, readings, "education", list(levels)),
            "safety_net": said(program, readings, "safety_net", list(levels)),
            "consent_points": consent_points(program, readings),
            "information": information(
                program, readings, record_of(program, case, standing), inputs
            ),
            "next_step": next_step(program, readings, status(resolver, found)),
            "why_not": why_not(program, resolver, readings, paths.now, list(levels), questions),
            "open_questions": questions,
            "answers": answers(program, standing),
            "chain": build_chain(program, inputs, readings, run.node_state, self.phrases),
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
        paths: Paths,
        palpated: Segment | None,
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
        shown, others = (
            cards(self.program, readings, paths.now, level) if level in paths.treated else ([], [])
        )
        trust, why = confidence(values, level)
        pattern = _word(values, f"segment.pattern@{level}") or "unknown"
        found: SegmentAdvice = {
            "level": level,
            "treat_today": level in paths.treated,
            "order": place,
            "reason": turn.reason,
            "pattern": pattern,
            "sides": sides,
            "bilateral": _word(values, f"segment.bilateral@{level}") or "unknown",
            "confidence": trust,
            "confidence_reasons": why,
            "reliability": RELIABILITY,
            "indicated": indicated,
            "path": self._path(level, paths),
            "cards": shown,
            "alternatives": others,
            "without_card": (
                without_card(self.program, readings, paths.now, level)
                if level in paths.treated
                else []
            ),
        }
        if palpated is not None:
            found["not_made"] = self.missed.at(palpated, pattern)
        return found

    def _path(self, level: str, paths: Paths) -> Path:
        path = paths.now.paths[level]
        ups = (path.up_to, paths.most.paths[level].up_to, paths.least.paths[level].up_to)
        return self._written(path, ups, self.resolver.rungs[paths.now.targets[level]])

    def _case_path(self, paths: Paths) -> Path:
        rungs = self.resolver.rungs
        now = paths.now
        steps = {rung for level in paths.treated for rung in now.paths[level].steps}
        down = {rung for level in paths.treated for rung in now.paths[level].step_down_to}
        path = LevelPath(
            now.start_at,
            now.up_to,
            tuple(r for r in rungs if r in steps),
            tuple(r for r in rungs if r in down),
        )
        target = max((now.targets[level] for level in paths.treated), default=0)
        return self._written(path, (now.up_to, paths.most.up_to, paths.least.up_to), rungs[target])

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
