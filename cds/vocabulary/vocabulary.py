"""All that may be said and concluded in one edition, by name.

A `Vocabulary` is taken from anything that carries the names (a compiled program, a rule book being
checked, a test's own record), because this layer lies below both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Protocol

from cds.vocabulary.applies import names
from cds.vocabulary.core import PARAMETERS
from cds.vocabulary.model import Conclusion, Feature, Finding, Ladder, Scope

SEGMENT = "segment."
"""What the name of a finding or feature of one level begins with."""


class BlockLike(Protocol):
    """Findings that are asked together, with one "none of these" answer."""

    @property
    def ask(self) -> str:
        """The question."""

    @property
    def findings(self) -> tuple[str, ...]:
        """Names of the findings it asks for."""


class Named(Protocol):
    """Whatever a vocabulary can be taken from: a program, a rule book."""

    @property
    def findings(self) -> Mapping[str, Finding]:
        """Findings by name, in declared order."""

    @property
    def features(self) -> Mapping[str, Feature]:
        """Computed features by name."""

    @property
    def conclusions(self) -> Mapping[str, Conclusion]:
        """Conclusions by name."""

    @property
    def ladder(self) -> Ladder:
        """Rungs and families."""

    @property
    def blocks(self) -> Mapping[str, BlockLike]:
        """Blocks by id."""

    @property
    def parameters(self) -> Mapping[str, int]:
        """Whole numbers by name."""


@dataclass(frozen=True)
class Vocabulary:
    """The names of one edition. Every mapping keeps the declared order and is not to be changed."""

    findings: Mapping[str, Finding]
    features: Mapping[str, Feature]
    conclusions: Mapping[str, Conclusion]
    ladder: Ladder
    blocks: Mapping[str, BlockLike]
    parameters: Mapping[str, int]
    destinations: tuple[str, ...]

    @classmethod
    def of(cls, source: Named) -> Vocabulary:
        """The vocabulary of a program or rule book. Parameters that it does not name have defaults.

        Destinations are the keys of the conclusion `referral`; none where there is no such one.
        """
        referral = source.conclusions.get("referral")
        return cls(
            findings=MappingProxyType(dict(source.findings)),
            features=MappingProxyType(dict(source.features)),
            conclusions=MappingProxyType(dict(source.conclusions)),
            ladder=source.ladder,
            blocks=MappingProxyType(dict(source.blocks)),
            parameters=MappingProxyType({**PARAMETERS, **source.parameters}),
            destinations=referral.keys if referral else (),
        )

    @cached_property
    def case_findings(self) -> Mapping[str, Finding]:
        """Findings of the whole case, by name."""
        return {n: f for n, f in self.findings.items() if f.scope is Scope.CASE}

    @cached_property
    def segment_findings(self) -> Mapping[str, Finding]:
        """Findings of one level, by full name (`segment.provocation`)."""
        return {n: f for n, f in self.findings.items() if f.scope is Scope.SEGMENT}

    @cached_property
    def rungs(self) -> tuple[str, ...]:
        """Names of the rungs, least first."""
        return self.ladder.rung_names

    @cached_property
    def hands_on(self) -> tuple[str, ...]:
        """Names of the hands-on families, in declared order."""
        return tuple(family.name for family in self.ladder.of_group("hands_on"))

    @cached_property
    def blocks_of(self) -> Mapping[str, tuple[str, ...]]:
        """Block id -> the case findings that its "none of these" may answer.

        A finding that is asked alone, has no word to stand for "none of these" (a number), or
        belongs to one level is never answered by a block.
        """
        return {
            name: tuple(
                member
                for member in block.findings
                if member in self.case_findings and none_of_these(self.findings[member])
            )
            for name, block in self.blocks.items()
        }

    @cached_property
    def blocked(self) -> frozenset[str]:
        """Findings that some block may answer."""
        return frozenset(name for members in self.blocks_of.values() for name in members)

    @cached_property
    def leans(self) -> Mapping[str, frozenset[str]]:
        """Finding -> every finding that its standing may depend on, through any others.

        Through `good_for: with`, `unchanged: not_with` and `applies_when`. (`voided_by` looks at
        what was recorded, not at what stands.)
        """
        near = {
            name: {
                *(other for other, _ in finding.good_for.with_),
                *finding.unchanged_not_with,
                *names(finding.applies_when),
            }
            for name, finding in self.findings.items()
        }
        found: dict[str, frozenset[str]] = {}
        for name in near:
            seen: set[str] = set()
            stack = [*near[name]]
            while stack:
                other = stack.pop()
                if other not in seen:
                    seen.add(other)
                    stack.extend(near.get(other, ()))
            found[name] = frozenset(seen)
        return found


def none_of_these(finding: Finding) -> str | None:
    """The word that a block's "none of these" means for the finding; None if it may not say it.

    It is the first value that is not adverse.
    """
    if finding.ask_alone or finding.numeric:
        return None
    return next((value for value in finding.values if value not in finding.adverse), None)
