"""Scores and their published bands: disability, fear avoidance, loose joints, bone mass, change.

Item numbers or finished scores come in; item texts of licensed instruments are not shipped.
Arithmetic is exact, bands are half-open intervals so that no number falls between them, and what is
unanswered stays open. Every result carries its weaknesses as sentences to be shown with it.

Information, never deciding; a score pieced together from answered sections is read by no rule.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from cds.features.exact import Exact, exact
from cds.features.uncertain import Span, Words, at_least, every, opposite, some
from cds.vocabulary.values import Tri

OSWESTRY_SECTIONS = 10
_OSWESTRY_BANDS = (
    (20, "minimal"),
    (40, "moderate"),
    (60, "severe"),
    (80, "very_severe"),
    (100, "extreme"),
)


@dataclass(frozen=True, slots=True)
class Oswestry:
    """Disability in percent (0 to 100, exact) over the sections answered.

    `possible` is the percent over all ten sections if each missing one were 0, and if it were 5.
    """

    percent: Fraction
    answered: int
    band: str
    possible: tuple[Fraction, Fraction]
    weaknesses: tuple[str, ...]


def oswestry(sections: Sequence[int | None]) -> Oswestry:
    """Sum of the sections (each 0 to 5, None if missing) / (5 x answered) x 100.

    ValueError unless there are ten entries in range and at least one is answered; TypeError for
    one that is no whole number. Source: Fairbank and Pynsent 2000, Spine 25:2940 (formula second
    hand, bands read).
    """
    if len(sections) != OSWESTRY_SECTIONS:
        raise ValueError("the index has ten sections")
    answers = [_item(value, 5) for value in sections if value is not None]
    if not answers:
        raise ValueError("no section was answered")
    total, open_sections = sum(answers), OSWESTRY_SECTIONS - len(answers)
    weak = ["A score says how much the back limits, not why."]
    if open_sections:
        weak.append(f"{open_sections} of ten sections are missing and taken to be like the others.")
    share = Fraction(100 * total, 5 * len(answers))
    possible = (Fraction(2 * total), Fraction(2 * (total + 5 * open_sections)))
    return Oswestry(share, len(answers), oswestry_band(share), possible, tuple(weak))


def oswestry_band(percent: Exact) -> str:
    """`minimal` [0,20], `moderate` (20,40], `severe` (40,60], `very_severe` (60,80], `extreme`.

    Printed bands are 0-20, 21-40 and so on and leave 20.5 without one. The names of the upper two
    are ours: the printed ones judge the patient. ValueError outside 0 to 100. Source as `oswestry`
    (read; half-open form derived).
    """
    number = exact(percent)
    if not 0 <= number <= 100:
        raise ValueError("the index is 0 to 100 percent")
    return next(band for top, band in _OSWESTRY_BANDS if number <= top)


FEAR_ITEMS: Mapping[str, tuple[int, ...]] = MappingProxyType(
    {"physical": (2, 3, 4, 5), "work": (6, 7, 9, 10, 11, 12, 15)}
)
"""Which of the 16 items make which subscale; the others are not scored (Waddell 1993, read)."""


@dataclass(frozen=True, slots=True)
class CutOff:
    """A published limit of a subscale: reached by `more_than`, or by `less_than`, `limit`."""

    subscale: str
    relation: str
    limit: int
    meaning: str
    status: str


FEAR_CUT_OFFS = (
    CutOff("work", "more_than", 29, "return to work at risk, acute occupational pain", "read"),
    CutOff("work", "more_than", 22, "raised, people not at work", "memory"),
    CutOff("physical", "more_than", 14, "raised", "read"),
    CutOff("work", "less_than", 19, "an item of the manipulation rule (Flynn 2002)", "read"),
)


@dataclass(frozen=True, slots=True)
class FearAvoidance:
    """Both subscales as spans: `physical` within 0 to 24, `work` within 0 to 42."""

    physical: Span
    work: Span
    cut_offs: tuple[tuple[CutOff, Tri], ...]
    weaknesses: tuple[str, ...]


def fear_avoidance(items: Mapping[int, int | None]) -> FearAvoidance:
    """Subscales from item numbers 1 to 16 (each 0 to 6); a missing item leaves a span of 6.

    No rule for missing items is published in what was read, so nothing is filled in. ValueError
    for a number or value out of range; TypeError for a value that is no whole number. Source:
    Waddell 1993, Pain 52:157 (item numbers and ranges read).
    """
    if any(number not in range(1, 17) for number in items):
        raise ValueError("items are numbered 1 to 16")
    for value in items.values():
        if value is not None:
            _item(value, 6)
    spans = {name: _sum(items, numbers) for name, numbers in FEAR_ITEMS.items()}
    weak = ["Cut-offs come from single groups of patients and differ between them."]
    if any(low != high for low, high in spans.values()):
        weak.append("Some items are missing: a subscale is a range.")
    reached = tuple((cut, _reached(cut, spans[cut.subscale])) for cut in FEAR_CUT_OFFS)
    return FearAvoidance(spans["physical"], spans["work"], reached, tuple(weak))


def _sum(items: Mapping[int, int | None], numbers: tuple[int, ...]) -> Span:
    values = [items.get(number) for number in numbers]
    low = sum(value for value in values if value is not None)
    return low, low + 6 * values.count(None)


def _reached(cut: CutOff, span: Span) -> Tri:
    if cut.relation == "more_than":
        return at_least(span, cut.limit + 1)
    return opposite(at_least(span, cut.limit))


@dataclass(frozen=True, slots=True)
class Beighton:
    """`cut_offs` that are possible for this person; `general` whether joints are loose all over.

    `reached` by the score alone; `general` also by one below with two or more of five answers of
    the questionnaire. UNKNOWN where possibilities disagree.
    """

    cut_offs: tuple[int, ...]
    reached: Tri
    general: Tri
    weaknesses: tuple[str, ...]


def beighton(score: Span, age: Span, before_puberty: Tri, questionnaire: Span = (0, 5)) -> Beighton:
    """Score 0 to 9 against 6 before puberty, 5 from puberty to 50 years, 4 above 50.

    `age` in whole years, `questionnaire` the yes answers of five; spans where unknown. ValueError
    for a span out of range, and for someone above 50 before puberty. Source: criteria of 2017 for
    hypermobile Ehlers-Danlos syndrome (read).
    """
    for span, top in ((score, 9), (questionnaire, 5), (age, 150)):
        if not 0 <= span[0] <= span[1] <= top:
            raise ValueError("a span runs from low to high within its range")
    above = at_least(age, 51)
    if above is Tri.TRUE and before_puberty is Tri.TRUE:
        raise ValueError("nobody is above 50 years and before puberty")
    possible = set()
    if above is not Tri.FALSE and before_puberty is not Tri.TRUE:
        possible.add(4)
    if above is not Tri.TRUE:
        possible |= {Tri.TRUE: {6}, Tri.FALSE: {5}, Tri.UNKNOWN: {5, 6}}[before_puberty]
    cuts = tuple(sorted(possible))
    enough = at_least(questionnaire, 2)
    reached = [at_least(score, cut) for cut in cuts]
    # A score one below, or more, with the questionnaire: monotone, so Kleene words stay exact.
    general = [some(at_least(score, cut), every(at_least(score, cut - 1), enough)) for cut in cuts]
    weak = (
        "Older criteria cut at 4 of 9 (Brighton) or 5 of 9 (Villefranche).",
        "Raters agree by .79 on the whole score.",
    )
    return Beighton(cuts, _agreed(reached), _agreed(general), weak)


def _agreed(parts: Sequence[Tri]) -> Tri:
    return parts[0] if len(set(parts)) == 1 else Tri.UNKNOWN


@dataclass(frozen=True, slots=True)
class BoneMass:
    """The classes that are possible; more than one while a fragility fracture is open."""

    classes: Words
    weaknesses: tuple[str, ...]


def bone_mass(t_score: Exact, fragility_fracture: Tri) -> BoneMass:
    """`normal` T >= -1.0, `low` -2.5 < T < -1.0, `osteoporosis` T <= -2.5, `severe` with fracture.

    Units: standard deviations from young women. Errors as in `exact`. Source: WHO 1994 (read; one
    abstract prints `< -2.5`, the more careful `<=` is used).
    """
    number = exact(t_score)
    weak = ("Defined on white women after the menopause; spine, hip and forearm differ.",)
    if number >= -1:
        return BoneMass(("normal",), weak)
    if number > Fraction(-5, 2):
        return BoneMass(("low",), weak)
    by_fracture: dict[Tri, Words] = {
        Tri.TRUE: ("severe",),
        Tri.FALSE: ("osteoporosis",),
        Tri.UNKNOWN: ("osteoporosis", "severe"),
    }
    return BoneMass(by_fracture[fragility_fracture], weak)


@dataclass(frozen=True, slots=True)
class Instrument:
    """A scale from 0 (best) to `top`, and the smallest change in points that matters.

    `disagreement`: a sentence on another published value, where there is one.
    """

    key: str
    top: int
    points: int
    source: str
    status: str
    disagreement: str | None = None


_OSTELO = "Ostelo 2008, Spine 33:90"
SHARE_THAT_MATTERS = Fraction(30, 100)
"""Of the score at the start, on any of the scales (Ostelo 2008, read)."""

INSTRUMENTS: Mapping[str, Instrument] = MappingProxyType(
    {
        "pain": Instrument("pain", 10, 2, _OSTELO, "read"),
        "pain_line": Instrument("pain_line", 100, 15, _OSTELO, "read"),
        "oswestry": Instrument(
            "oswestry",
            100,
            10,
            _OSTELO,
            "read",
            "For a modified form 6 points are cited (Fritz and Irrgang 2001, from memory).",
        ),
        "roland_morris": Instrument("roland_morris", 24, 5, _OSTELO, "read"),
    }
)


@dataclass(frozen=True, slots=True)
class Change:
    """`points` and `share` of the start, positive = better; `share` is None from a start of 0.

    `better_by_points`, `better_by_share`, `worse_by_points`: whether the published smallest
    important change is reached, each on its own; the two ways of judging may disagree.
    """

    points: Fraction
    share: Fraction | None
    better_by_points: bool
    better_by_share: bool
    worse_by_points: bool
    weaknesses: tuple[str, ...]


def change(instrument: Instrument, before: Exact, after: Exact) -> Change:
    """From `before` to `after` on one scale. ValueError outside it; other errors as in `exact`.

    Source: Ostelo 2008 (read). Points and share were proposed for improvement; using the points
    for getting worse is derived.
    """
    start, end = exact(before), exact(after)
    if not (0 <= start <= instrument.top and 0 <= end <= instrument.top):
        raise ValueError(f"{instrument.key} runs from 0 to {instrument.top}")
    points = start - end
    share = points / start if start else None
    by_points = points >= instrument.points
    by_share = share is not None and share >= SHARE_THAT_MATTERS
    weak = ["A consensus value for groups; what matters to one patient may differ."]
    if instrument.disagreement:
        weak.append(instrument.disagreement)
    if by_points != by_share:
        weak.append("Points and share of the start disagree.")
    if start < instrument.points:
        weak.append("The start was too low for the points to be reached.")
    return Change(points, share, by_points, by_share, -points >= instrument.points, tuple(weak))


def _item(value: int, top: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError(f"an item is a whole number, not {type(value).__name__}")
    if not 0 <= value <= top:
        raise ValueError(f"an item is 0 to {top}")
    return value
