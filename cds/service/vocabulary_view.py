"""The vocabulary of the edition as JSON: what may be recorded of a case, and what may be concluded.

An EMR builds its form from this: question texts, blocks, allowed words, and the JSON Schema that a
case of this edition must fit.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any, NotRequired, TypedDict

from cds.explain.words import number_text
from cds.rulebook.conditions import Leaf, Members
from cds.rulebook.program import Program
from cds.service.condition_view import condition_json
from cds.vocabulary.advice import Edition
from cds.vocabulary.model import LEVELS, MOMENTS, Conclusion, Feature, Finding, GoodFor
from cds.vocabulary.schema import case_schema
from cds.vocabulary.vocabulary import Vocabulary


class Period(TypedDict):
    """How long a negative answer counts; `for_life` where nothing ends it by time. `with`: finding
    -> tighter period while that one is adverse or not known.
    """

    days: NotRequired[int]
    months: NotRequired[int]
    this_session: NotRequired[bool]
    episode: NotRequired[bool]
    for_life: NotRequired[bool]
    tighter_with: NotRequired[dict[str, dict[str, Any]]]


class FindingView(TypedDict):
    """One thing that may be recorded. Numbers are decimal strings."""

    name: str
    scope: str
    kind: str
    title: str
    ask: str
    ask_alone: bool
    block: NotRequired[str]
    values: NotRequired[list[str]]
    ordered: NotRequired[bool]
    adverse: list[str]
    positive_from: NotRequired[str]
    unit: NotRequired[str]
    step: NotRequired[str]
    low: NotRequired[str]
    high: NotRequired[str]
    good_for: Period
    voided_by: list[str]
    ends_by: list[str]
    unchanged: bool
    unchanged_not_with: list[str]
    applies_when: NotRequired[dict[str, Any]]
    mirror: NotRequired[dict[str, str]]


class FeatureView(TypedDict):
    """Something computed from the case; never asked."""

    name: str
    scope: str
    kind: str
    title: str
    values: NotRequired[list[str]]
    unit: NotRequired[str]


class ConclusionView(TypedDict):
    """Something rules conclude. `values` from least to most, by key where keys differ."""

    name: str
    title: str
    combine: str
    scopes: list[str]
    careful: str
    keys: list[str]
    values: list[str]
    key_values: dict[str, list[str]]
    otherwise: NotRequired[str]
    output: bool


class BlockView(TypedDict):
    """Findings asked together. `answers`: those that "none of these" answers."""

    id: str
    ask: str
    findings: list[str]
    answers: list[str]


class RungView(TypedDict):
    """One step of the ladder."""

    name: str
    title: str
    gate: list[str]


class FamilyView(TypedDict):
    """A kind of technique, load or position; `rungs`: rung -> the limit it needs at least."""

    name: str
    title: str
    group: str
    limits: list[str]
    rungs: dict[str, str]


class LadderView(TypedDict):
    """The ladder, least first."""

    rungs: list[RungView]
    families: list[FamilyView]


class VocabularyView(TypedDict):
    """Everything that may be recorded and concluded in this edition."""

    edition: Edition
    moments: list[str]
    levels: list[str]
    findings: list[FindingView]
    blocks: list[BlockView]
    features: list[FeatureView]
    conclusions: list[ConclusionView]
    ladder: LadderView
    destinations: dict[str, str]
    concerns: dict[str, str]
    parameters: dict[str, int]
    case_schema: dict[str, Any]


def vocabulary_view(program: Program) -> VocabularyView:
    """The whole vocabulary as JSON."""
    vocabulary = Vocabulary.of(program)
    return {
        "edition": edition_view(program),
        "moments": list(MOMENTS),
        "levels": list(LEVELS),
        "findings": [_finding(finding) for finding in program.findings.values()],
        "blocks": [
            {
                "id": name,
                "ask": block.ask,
                "findings": list(block.findings),
                "answers": list(vocabulary.blocks_of[name]),
            }
            for name, block in program.blocks.items()
        ],
        "features": [_feature(feature) for feature in program.features.values()],
        "conclusions": [_conclusion(entry) for entry in program.conclusions.values()],
        "ladder": {
            "rungs": [
                {"name": rung.name, "title": rung.title, "gate": list(rung.gate)}
                for rung in program.ladder.rungs
            ],
            "families": [
                {
                    "name": family.name,
                    "title": family.title,
                    "group": family.group,
                    "limits": list(family.limits),
                    "rungs": dict(family.rungs),
                }
                for family in program.ladder.families
            ],
        },
        "destinations": dict(program.destinations),
        "concerns": dict(program.concerns),
        "parameters": dict(vocabulary.parameters),
        "case_schema": case_schema(vocabulary),
    }


def edition_view(program: Program) -> Edition:
    """Which rule book this is."""
    return {"title": program.title, "language": program.language, "digest": program.digest}


def _finding(finding: Finding) -> FindingView:
    found: FindingView = {
        "name": finding.name,
        "scope": finding.scope.value,
        "kind": finding.kind.value,
        "title": finding.title,
        "ask": finding.ask,
        "ask_alone": finding.ask_alone,
        "adverse": list(finding.adverse),
        "good_for": _period(finding.good_for),
        "voided_by": list(finding.voided_by),
        "ends_by": list(finding.ends_by),
        "unchanged": finding.unchanged,
        "unchanged_not_with": list(finding.unchanged_not_with),
    }
    if finding.block is not None:
        found["block"] = finding.block
    if finding.numeric:
        found["step"] = number_text(finding.step)
        for key, bound in (("low", finding.low), ("high", finding.high)):
            if isinstance(bound, Decimal):
                found[key] = number_text(bound)  # type: ignore[literal-required]
        if finding.positive_from is not None:
            found["positive_from"] = number_text(finding.positive_from)
        if finding.unit is not None:
            found["unit"] = finding.unit
    else:
        found["values"] = list(finding.values)
        found["ordered"] = finding.ordered
    if isinstance(finding.applies_when, (Leaf, Members)):
        found["applies_when"] = condition_json(finding.applies_when)
    if finding.mirror:
        found["mirror"] = dict(finding.mirror)
    return found


def _period(period: GoodFor) -> Period:
    found: Period = {}
    if period.days is not None:
        found["days"] = period.days
    elif period.months is not None:
        found["months"] = period.months
    elif period.this_session:
        found["this_session"] = True
    elif period.episode:
        found["episode"] = True
    else:
        found["for_life"] = True
    if period.with_:
        found["tighter_with"] = {name: dict(_period(other)) for name, other in period.with_}
    return found


def _feature(feature: Feature) -> FeatureView:
    found: FeatureView = {
        "name": feature.name,
        "scope": feature.scope.value,
        "kind": feature.kind.value,
        "title": feature.title,
    }
    if feature.values:
        found["values"] = list(feature.values)
    if feature.unit is not None:
        found["unit"] = feature.unit
    return found


def _conclusion(entry: Conclusion) -> ConclusionView:
    found: ConclusionView = {
        "name": entry.name,
        "title": entry.title,
        "combine": entry.combine.value,
        "scopes": [scope.value for scope in entry.scopes],
        "careful": entry.careful.value,
        "keys": list(entry.keys),
        "values": list(entry.values),
        "key_values": {key: list(values) for key, values in entry.key_values},
        "output": entry.output,
    }
    if entry.otherwise is not None:
        found["otherwise"] = entry.otherwise
    return found
