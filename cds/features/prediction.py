"""From a prior and a likelihood ratio to a probability, with the prior always named.

A post-test probability without its prior says nothing: the same three fracture items give 52 % from
one published prior and 90 % from another. So a result carries the prior with its setting, source
and status, and says where prior and ratio come from different settings.

Information for the reader, never deciding: no rule reads it.

Status words: `read` (seen in the source's own text), `second_hand`, `derived` (reckoned here),
`memory` (not checked against a text).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from cds.features.exact import percent

STATUSES = ("read", "second_hand", "derived", "memory")


@dataclass(frozen=True, slots=True)
class Prior:
    """How common `condition` is in `setting`. ValueError unless 0 < probability < 1."""

    condition: str
    setting: str
    probability: Fraction
    source: str
    status: str

    def __post_init__(self) -> None:
        if not 0 < self.probability < 1:
            raise ValueError("a prior is more than 0 and less than 1")


@dataclass(frozen=True, slots=True)
class Likelihood:
    """A likelihood ratio for `condition`, measured in `setting`.

    `value` is None where no false positive was seen, so that there is no finite ratio. `interval`
    is the printed 95 % interval, None where none is at hand. ValueError for a negative ratio.
    """

    condition: str
    setting: str
    value: Fraction | None
    interval: tuple[Fraction, Fraction] | None
    source: str
    status: str

    def __post_init__(self) -> None:
        if self.value is not None and self.value < 0:
            raise ValueError("a likelihood ratio is not negative")


@dataclass(frozen=True, slots=True)
class PostTest:
    """A probability (0 to 1, exact) with the prior and the ratio it came from.

    `interval` follows from the interval of the ratio alone; the prior's own doubt is not in it.
    `weaknesses` are sentences to be shown with the number.
    """

    probability: Fraction
    interval: tuple[Fraction, Fraction] | None
    prior: Prior
    likelihood: Likelihood
    weaknesses: tuple[str, ...]

    def __str__(self) -> str:
        """One line for people, half up to a tenth of a percent; the prior is part of it."""
        prior = self.prior
        return (
            f"{prior.condition}: {percent(self.probability, 1)} % "
            f"from a prior of {percent(prior.probability, 1)} % ({prior.setting}; {prior.source})"
        )


def by_odds(prior: Fraction, ratio: Fraction | None) -> Fraction:
    """Posterior probability: odds of `prior` times `ratio`; 1 where the ratio is None (infinite).

    ValueError unless 0 < prior < 1 and the ratio is not negative.
    """
    if not 0 < prior < 1:
        raise ValueError("a prior is more than 0 and less than 1")
    if ratio is None:
        return Fraction(1)
    if ratio < 0:
        raise ValueError("a likelihood ratio is not negative")
    odds = prior / (1 - prior) * ratio
    return odds / (1 + odds)


def post_test(prior: Prior, likelihood: Likelihood) -> PostTest:
    """The probability after the test.

    ValueError where prior and ratio are for different conditions.
    """
    if prior.condition != likelihood.condition:
        raise ValueError("prior and likelihood ratio are for different conditions")
    bounds = likelihood.interval
    interval = bounds and (
        by_odds(prior.probability, bounds[0]),
        by_odds(prior.probability, bounds[1]),
    )
    weak = []
    if prior.setting != likelihood.setting:
        weak.append(f"The prior is from {prior.setting}, the ratio from {likelihood.setting}.")
    if likelihood.value is None:
        weak.append("No false positive was seen: certainty is a matter of few people, not a fact.")
    elif likelihood.interval is None:
        weak.append("No interval of the ratio is at hand; the number looks surer than it is.")
    for name, status in (("prior", prior.status), ("ratio", likelihood.status)):
        if status != "read":
            weak.append(f"The {name} was not read in its source ({status.replace('_', ' ')}).")
    probability = by_odds(prior.probability, likelihood.value)
    return PostTest(probability, interval, prior, likelihood, tuple(weak))


FRACTURE = "vertebral fracture"
MALIGNANCY = "spinal malignancy"
MANIPULATION_HELPS = "disability halved in two to three visits"
PRIMARY = "primary care"
TERTIARY = "tertiary care"

_HENSCHKE = "Henschke 2009, Arthritis Rheum 60:3072"
_DOWNIE = "Downie 2013, BMJ 347:f7095"
_VERHAGEN = "Verhagen 2016, Eur Spine J 25:2788"
_ENTHOVEN = "Enthoven 2016, Phys Ther 96:305"

# They disagree and must not be mixed in one table: 0.7 % and 4 % are both "primary care".
PRIORS: Mapping[str, Prior] = MappingProxyType(
    {
        "fracture_used_by_henschke": Prior(
            FRACTURE, PRIMARY, Fraction(1, 200), _HENSCHKE, "memory"
        ),
        "fracture_in_henschke": Prior(FRACTURE, PRIMARY, Fraction(8, 1172), _HENSCHKE, "read"),
        "fracture_primary_downie": Prior(FRACTURE, PRIMARY, Fraction(1, 100), _DOWNIE, "derived"),
        "fracture_tertiary_downie": Prior(FRACTURE, TERTIARY, Fraction(1, 20), _DOWNIE, "derived"),
        "fracture_verhagen": Prior(FRACTURE, PRIMARY, Fraction(1, 25), _VERHAGEN, "read"),
        "fracture_over_55": Prior(
            FRACTURE, "general practice, over 55 years", Fraction(33, 669), _ENTHOVEN, "read"
        ),
        "malignancy_primary_downie": Prior(
            MALIGNANCY, PRIMARY, Fraction(1, 200), _DOWNIE, "derived"
        ),
        "malignancy_emergency_downie": Prior(
            MALIGNANCY, "emergency and tertiary care", Fraction(3, 200), _DOWNIE, "derived"
        ),
        "manipulation_flynn": Prior(
            MANIPULATION_HELPS,
            "the derivation study",
            Fraction(32, 71),
            "Flynn 2002, Spine 27:2835",
            "read",
        ),
    }
)
