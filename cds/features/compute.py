"""All features of a case, merged with the answers that still count: the inputs of an evaluation."""

from __future__ import annotations

from cds.features.consent import consent_features
from cds.features.course import course_features
from cds.features.examination import examination_features
from cds.features.levels import level_features
from cds.features.outcome import outcome_features
from cds.features.person import person_features
from cds.features.positional import positional_features
from cds.features.record import Features, Record
from cds.features.referral import referral_features
from cds.features.stage import stage_features
from cds.features.today import today_features
from cds.rulebook.book import PositionalRow
from cds.rulebook.program import Program
from cds.vocabulary.ageing import Standing
from cds.vocabulary.case import Case
from cds.vocabulary.inputs import Inputs
from cds.vocabulary.model import NAMELESS
from cds.vocabulary.values import Input


def features(record: Record, rows: tuple[PositionalRow, ...]) -> Features:
    """Every feature that is known, grounded (`segment.pattern@L5`). Names that lack are unknown."""
    return {
        **person_features(record),
        **course_features(record),
        **outcome_features(record),
        **consent_features(record),
        **referral_features(record),
        **examination_features(record),
        **stage_features(record),
        **today_features(record),
        **positional_features(record, rows),
        **level_features(record),
    }


def record_of(program: Program, case: Case, standing: Standing) -> Record:
    """The view of a case that features read."""
    return Record(
        case=case,
        standing=standing.values,
        findings=program.findings,
        parameters=program.parameters,
        rungs=program.ladder.rung_names,
    )


def inputs(program: Program, case: Case, standing: Standing) -> Inputs:
    """Answers that still count and all features, with the listed levels.

    A missing list of segments is the one level `unnamed`, on which everything is unknown.
    """
    values: dict[str, Input] = dict(standing.values)
    values.update(features(record_of(program, case, standing), program.positional))
    segments = case.segments
    levels = {NAMELESS} if segments is None else {segment.level for segment in segments}
    return Inputs(values, frozenset(levels))
