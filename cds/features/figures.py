"""Published predictions for one case: which items hold, the row reached, the probability.

Numbers only; sentences are built elsewhere. A figure is None where too little was recorded for it
to say anything. An item that was not recorded is open and never counts as absent. Published lists
with different priors stand apart, each with its own; nothing is averaged.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from cds.features.counts import Counted, Criteria, count
from cds.features.criteria import CANCER_HISTORY, CHILDS, DOWNIE, FLYNN, FRITZ, HENSCHKE, MYELOPATHY
from cds.features.prediction import PRIORS, Likelihood, PostTest, post_test
from cds.features.uncertain import Span, among, every, opposite, some
from cds.vocabulary.model import at_level
from cds.vocabulary.values import Amount, Choice, Input, NotApplicable, Tri

Values = Mapping[str, Input]
"""Grounded answers that still count, and features."""

LUMBAR = ("L1", "L2", "L3", "L4", "L5")
FLYNN_POSITIVE = 4


@dataclass(frozen=True, slots=True)
class Number:
    """One exact number or word of a figure, under its name; `top` is the end of its scale."""

    name: str
    value: Span | Fraction | str
    top: int | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """What was computed: numbers, what they are of, the row or band reached, and how it is weak.

    `inputs` are the findings and features used. `weaknesses` follow from this case's numbers; those
    of the instrument itself belong to the rule book's words.
    """

    key: str
    of: str
    inputs: tuple[str, ...]
    numbers: tuple[Number, ...]
    meaning: str = ""
    post: PostTest | None = None
    likelihood: Likelihood | None = None
    weaknesses: tuple[str, ...] = ()


def flynn(values: Values) -> Figure | None:
    """Five items; only where no more than one is open, or the rule is positive already."""
    found = count(FLYNN, _flynn_items(values))
    low, high = found.span
    if low < FLYNN_POSITIVE and high - low > 1:
        return None
    return _tally(found, _FLYNN_INPUTS, "manipulation_flynn")


def fritz(values: Values) -> Figure | None:
    """Two items; only where both hold, the one row that is published."""
    items = _flynn_items(values)
    found = count(FRITZ, {key: items[key] for key in FRITZ.items})
    if found.span[0] < len(FRITZ.items):
        return None
    return _tally(found, ("duration_days", "leg_symptoms"), "manipulation_flynn")


def childs(values: Values) -> Figure | None:
    """The trial of the five items; only where the rule is positive, and saying whom it took."""
    items = _flynn_items(values)
    took = {
        "age_18_to_60": every(_at_least(values, "age", 18), opposite(_at_least(values, "age", 61))),
        "index_30_or_more": _at_least(values, "disability_index", 30),
        "no_pregnancy": some(_is(values, "sex", ("male",)), _is(values, "pregnancy", ("no",))),
        "no_surgery": _is(values, "spinal_surgery", ("none",)),
        "no_root": opposite(
            some(
                _is(values, "leg_kind", ("radicular",)),
                _is(values, "power", ("reduced", "severe")),
                _is(values, "reflexes", ("reduced",)),
                _is(values, "sensation", ("one_root",)),
            )
        ),
    }
    found = count(CHILDS, {**items, **took})
    if found.span[0] < FLYNN_POSITIVE:
        return None
    words = {Tri.TRUE: "yes", Tri.FALSE: "no", Tri.UNKNOWN: "not known"}
    inputs = (*_FLYNN_INPUTS, "age", "disability_index", "pregnancy", "spinal_surgery", "leg_kind")
    return _tally(found, inputs, None, Number("within_who_was_studied", words[found.applies]))


def henschke(values: Values) -> Figure | None:
    """Four items for a fracture, by the prior used in that paper; from the first item on."""
    return _fracture(count(HENSCHKE, _fracture_items(values)), "fracture_used_by_henschke")


def downie(values: Values) -> Figure | None:
    """The same four items in another review, by its own prior; from the first item on."""
    return _fracture(count(DOWNIE, _fracture_items(values)), "fracture_primary_downie")


def malignancy(values: Values) -> Figure | None:
    """A history of cancer, by the prior of primary care; not for a cancer that is active."""
    if _is(values, "cancer_history", ("past",)) is not Tri.TRUE:
        return None
    post = post_test(PRIORS["malignancy_primary_downie"], CANCER_HISTORY)
    return Figure(
        "malignancy", CANCER_HISTORY.condition, ("cancer_history",),
        (), "history of cancer", post, CANCER_HISTORY, post.weaknesses,
    )  # fmt: skip


def myelopathy(values: Values) -> Figure | None:
    """The count of five as it was recorded; no prior was found, so it gives no probability."""
    value = values.get("cord_cluster_items")
    if not isinstance(value, Amount) or value.exact is None:
        return None
    held = value.exact
    row = next((r for r in MYELOPATHY.rows if r.at_least <= held <= (r.at_most or held)), None)
    return Figure(
        "myelopathy",
        "cervical myelopathy",
        ("cord_cluster_items",),
        (Number("items", (held, held), len(MYELOPATHY.items)),),
        row.meaning if row else "two: in no published row",
        # the ratio of a low count would reassure, and clears nothing below the neck
        likelihood=row.likelihood if row and row.at_most is None else None,
    )


_FLYNN_INPUTS = (
    "duration_days", "leg_symptoms", "fear_avoidance_work", "segment.mobility",
    "hip_internal_rotation",
)  # fmt: skip


def _flynn_items(values: Values) -> dict[str, Tri]:
    stiff = [_is(values, at_level("segment.mobility", level), ("stiff",)) for level in LUMBAR]
    return {
        "under_16_days": opposite(_at_least(values, "duration_days", 16)),
        "not_below_knee": _is(values, "leg_symptoms", ("none", "above_knee")),
        "fear_work_under_19": opposite(_at_least(values, "fear_avoidance_work", 19)),
        "stiff_level": some(*stiff),
        "hip_rotation_over_35": _at_least(values, "hip_internal_rotation", 36),
    }


def _fracture_items(values: Values) -> dict[str, Tri]:
    return {
        "female": _is(values, "sex", ("female",)),
        "age_over_70": _at_least(values, "age", 71),
        "trauma": _is(values, "new_trauma", ("major",)),
        "steroids": _is(values, "steroid_use", ("systemic",)),
    }


def _fracture(found: Counted, prior: str) -> Figure | None:
    if not found.span[0]:
        return None
    return _tally(found, ("sex", "age", "new_trauma", "steroid_use"), prior)


def _tally(found: Counted, inputs: tuple[str, ...], prior: str | None, *more: Number) -> Figure:
    """The count with the highest row that is certain, and a probability where a prior stands.

    The probability is that of the highest row with a finite ratio.
    """
    criteria: Criteria = found.criteria
    rows = [row for row, truth in found.rows if truth is Tri.TRUE]
    row = max(rows, key=lambda row: row.at_least, default=None)
    # without a false positive there is no finite ratio: the row below is surer than "100 %"
    finite = [r for r in rows if r.likelihood and r.likelihood.value is not None]
    ratio_row = max(finite, key=lambda row: row.at_least, default=None)
    likelihood = ratio_row.likelihood if ratio_row else None
    post = post_test(PRIORS[prior], likelihood) if prior and likelihood else None
    of = likelihood.condition if likelihood else criteria.rows[0].likelihood
    weak = (*found.weaknesses, *(post.weaknesses if post else ()))
    return Figure(
        criteria.key,
        of if isinstance(of, str) else (of.condition if of else criteria.title),
        inputs,
        (Number("items", found.span, len(criteria.items)), *more),
        row.meaning if row else "",
        post,
        likelihood,
        weak,
    )


def _is(values: Values, name: str, words: Iterable[str]) -> Tri:
    """Whether a word is one of `words`; what does not apply is none of them."""
    value = values.get(name)
    if isinstance(value, NotApplicable):
        return Tri.FALSE
    return among(value.options, words) if isinstance(value, Choice) else Tri.UNKNOWN


def _at_least(values: Values, name: str, limit: int) -> Tri:
    """Whether a whole number is `limit` or more; unknown where it is not recorded."""
    value = values.get(name)
    if not isinstance(value, Amount):
        return Tri.UNKNOWN
    if value.low is not None and value.low >= limit:
        return Tri.TRUE
    return Tri.FALSE if value.high is not None and value.high < limit else Tri.UNKNOWN
