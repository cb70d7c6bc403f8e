"""The conclusions that are built in, because code reads them: the path, the headline, the referral.

A rule book adds its own; it cannot redeclare these. They are functions of what the book declares:
destinations, conditions of concern, the ladder, and the ids of cards, exercises and texts.
"""

from __future__ import annotations

from collections.abc import Iterable

from cds.vocabulary.model import (
    CARE,
    CONCERN,
    URGENCIES,
    Careful,
    Combine,
    Conclusion,
    Ladder,
    Scope,
)

NEXT_STEPS = (
    "discharge", "progress", "continue", "hold", "re_examine", "share_care", "refer_back",
)  # fmt: skip
"""Next steps of the course, least careful first; the most careful of several wins."""

PARAMETERS: dict[str, int] = {
    "group_size": 3,
    "gap_days": 14,
    "settle_hours": 48,
    "pain_rise": 2,
    "unchanged_days": 28,
    "unchanged_confirmations": 3,
}
"""Whole numbers that features read, with what holds when the book does not say. Common practice."""

CORE_NAMES = (
    "care_today", "referral", "concern", "limit", "target", "indication", "next_step", "cards",
    "exercises", "cautions", "retest", "safety_net", "education", "consent_points", "information",
)  # fmt: skip
"""Names of the built-in conclusions."""

_CASE = (Scope.CASE,)
_BOTH = (Scope.CASE, Scope.SEGMENT)


def core_conclusions(
    destinations: Iterable[str],
    concerns: Iterable[str],
    ladder: Ladder,
    cards: Iterable[str] = (),
    exercises: Iterable[str] = (),
    texts: Iterable[str] = (),
) -> dict[str, Conclusion]:
    """The built-in conclusions by name, in the order of `CORE_NAMES`.

    Members of sets are sorted by id, so that the order of files and keys has no meaning.
    """
    families = tuple(family.name for family in ladder.families)
    rungs = ladder.rung_names
    found = [
        Conclusion(
            "care_today", "Care today", Combine.WORST, values=CARE, otherwise="proceed",
            careful=Careful.MORE, output=True,
        ),
        Conclusion(
            "referral", "Referral", Combine.WORST, keys=tuple(destinations), values=URGENCIES,
            otherwise="none", careful=Careful.MORE, output=True,
        ),
        Conclusion(
            "concern", "Concern", Combine.WORST, keys=tuple(concerns), values=CONCERN,
            otherwise="none", careful=Careful.MORE, output=True,
        ),
        # `otherwise` is the highest value of each family, so it is left to the slot: values[-1]
        Conclusion(
            "limit", "Limit", Combine.LOWEST, _BOTH, keys=families,
            key_values=tuple((family.name, family.limits) for family in ladder.families),
            careful=Careful.MORE, output=True,
        ),
        Conclusion(
            "target", "Target", Combine.HIGHEST, _BOTH, values=rungs,
            otherwise="exercise_only" if "exercise_only" in rungs else None,
            careful=Careful.LESS, output=True,
        ),
        Conclusion(
            "indication", "Indication", Combine.FLAG, (Scope.SEGMENT,),
            keys=tuple(family.name for family in ladder.of_group("hands_on")),
            careful=Careful.LESS, output=True,
        ),
        Conclusion(
            "next_step", "Next step of the course", Combine.WORST, values=NEXT_STEPS,
            otherwise="continue", output=True,
        ),
        _members("cards", "Technique cards", (Scope.SEGMENT,), cards, prepare_only=True),
        _members("exercises", "Home exercises", _BOTH, exercises, prepare_only=True),
        _members("cautions", "Cautions", _BOTH, texts),
        _members("retest", "What to test again", _BOTH, texts),
        _members("safety_net", "Safety net", _BOTH, texts),
        _members("education", "What to explain", _BOTH, texts),
        _members("consent_points", "Points of consent", _CASE, texts, prepare_only=True),
        _members("information", "Scores and predictions", _CASE, texts, prepare_only=True),
    ]  # fmt: skip
    return {conclusion.name: conclusion for conclusion in found}


def _members(
    name: str,
    title: str,
    scopes: tuple[Scope, ...],
    ids: Iterable[str],
    *,
    prepare_only: bool = False,
) -> Conclusion:
    return Conclusion(
        name,
        title,
        Combine.SET,
        scopes,
        values=tuple(sorted(ids)),
        output=True,
        prepare_only=prepare_only,
    )
