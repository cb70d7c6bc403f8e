"""What one case comes to, without its account: as `decide`, for the many cases of a "what if".

Everything here is what the advice of the same case says (a test compares them); chain, reasons,
cards and words are left out, which is most of the work.
"""

from __future__ import annotations

from dataclasses import dataclass

from cds.decide import Decider
from cds.engine.chainer import Run
from cds.engine.path import Paths
from cds.engine.readings import Readings
from cds.explain.headline import Found, headline, status
from cds.explain.outcomes import bars_all, concerns, referrals
from cds.explain.questions import open_questions
from cds.features.compute import inputs as all_inputs
from cds.features.order import order
from cds.vocabulary.advice import Concern, Headline, OpenQuestion, Referral
from cds.vocabulary.ageing import Standing, stand
from cds.vocabulary.case import Case
from cds.vocabulary.inputs import Inputs


@dataclass(frozen=True, slots=True)
class Look:
    """One case, judged. `inputs` are those of the judging evaluation."""

    case: Case
    standing: Standing
    inputs: Inputs
    run: Run
    readings: Readings
    levels: tuple[str, ...]
    paths: Paths
    status: str
    headline: Headline
    referrals: list[Referral]
    concerns: list[Concern]
    questions: list[OpenQuestion]

    @property
    def owed(self) -> list[OpenQuestion]:
        """The questions for which something is held."""
        return [question for question in self.questions if question["owed"]]


def look(decider: Decider, case: Case) -> Look:
    """The case judged as it stands."""
    program = decider.program
    standing = stand(decider.vocabulary, case)
    inputs = all_inputs(program, case, standing)
    run = decider.chainer.start(inputs)
    readings = Readings(program, run.outcome())
    levels = tuple(turn.level for turn in order(case, inputs.values))
    paths = decider.resolver.paths(readings, levels, inputs.values)
    questions = open_questions(program, readings, decider.effects, run.node_state, standing.missing)
    found = Found(
        now=paths.now,
        fired=paths.fired,
        referrals=referrals(program, readings),
        concerns=concerns(program, readings),
        questions=questions,
        moment=case.moment,
        asked="",
        treated=list(paths.treated),
        **bars_all(program, readings),
    )
    return Look(
        case,
        standing,
        inputs,
        run,
        readings,
        levels,
        paths,
        status(decider.resolver, found),
        headline(program, decider.resolver, found),
        found.referrals,
        found.concerns,
        questions,
    )
