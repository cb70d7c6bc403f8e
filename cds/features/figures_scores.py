"""Scores of one case against their published bands, cut-offs and smallest important changes.

Numbers and words only; sentences are built elsewhere. A score is shown as it was recorded, or from
the numbers of its sections; nothing is asked for it. A figure is None where nothing was recorded.
"""

from __future__ import annotations

from fractions import Fraction

from cds.features.exact import half_up
from cds.features.figures import Figure, Number, Values
from cds.features.outcome import FUNCTION, first, sections
from cds.features.record import PAIN, Record, points
from cds.features.scores import (
    FEAR_CUT_OFFS,
    INSTRUMENTS,
    OSWESTRY_SECTIONS,
    Change,
    beighton,
    change,
    oswestry,
    oswestry_band,
)
from cds.features.uncertain import Span, at_least, opposite
from cds.vocabulary.values import Amount, Tri

SECTIONS_ENOUGH = 8
"""With fewer of the ten sections nothing is reckoned (common practice)."""

ADULT = 18
"""From this age on puberty is taken to be over (common practice); below it both cut-offs stay."""


def disability(record: Record, values: Values) -> Figure | None:
    """The finished disability index, or the one its sections give."""
    whole = _exact(values, "disability_index")
    if whole is not None:
        numbers, weak = _since_first(record, "disability_index", whole)
        return Figure(
            "disability", "limitation by the back", ("disability_index",),
            (Number("percent", Fraction(whole), 100), *numbers),
            f"{_band(oswestry_band(whole))} limitation", weaknesses=weak,
        )  # fmt: skip
    answers = [_exact(values, name) for name in sections()]
    if OSWESTRY_SECTIONS - answers.count(None) < SECTIONS_ENOUGH:
        return None
    found = oswestry(answers)
    return Figure(
        "disability", "limitation by the back", sections(),
        (
            Number("percent", found.percent, 100),
            Number("sections", (found.answered, found.answered), OSWESTRY_SECTIONS),
        ),
        f"{_band(found.band)} limitation", weaknesses=found.weaknesses[1:],
    )  # fmt: skip


def roland_morris(record: Record, values: Values) -> Figure | None:
    """The score, and its change from the first one."""
    score = _exact(values, "roland_morris")
    if score is None:
        return None
    numbers, weak = _since_first(record, "roland_morris", score)
    return Figure(
        "roland-morris", "limitation by the back", ("roland_morris",),
        (Number("score", (score, score), 24), *numbers), weaknesses=weak,
    )  # fmt: skip


def pain(record: Record, values: Values) -> Figure | None:
    """Pain now against the start of the first session; None at a first visit."""
    now, start = record.pain, points(record.course[0].pain_before) if record.course else PAIN
    if PAIN in (now, start) or now[0] != now[1] or start[0] != start[1]:
        return None
    told = change(INSTRUMENTS["pain"], start[0], now[0])
    return Figure(
        "pain", "pain", ("pain", "pain_since_first"),
        (Number("score", now, 10), *_change(told)), weaknesses=_of_change(told),
    )  # fmt: skip


def fear_avoidance(record: Record, values: Values) -> Figure | None:
    """Either subscale with the cut-offs it reaches."""
    numbers: list[Number] = []
    reached: list[str] = []
    for name, subscale, top in (("work", "work", 42), ("activity", "physical", 24)):
        score = _exact(values, f"fear_avoidance_{name}")
        if score is None:
            continue
        numbers.append(Number(name, (score, score), top))
        for cut in FEAR_CUT_OFFS:
            if cut.subscale != subscale:
                continue
            over = at_least((score, score), cut.limit + 1)
            under = opposite(at_least((score, score), cut.limit))
            if (over if cut.relation == "more_than" else under) is Tri.TRUE:
                relation = cut.relation.replace("_", " ")
                reached.append(f"{name} {relation} {cut.limit}: {cut.meaning}")
    if not numbers:
        return None
    inputs = ("fear_avoidance_work", "fear_avoidance_activity")
    return Figure("fear-avoidance", "fear avoidance", inputs, tuple(numbers), "; ".join(reached))


def risk_questionnaire(record: Record, values: Values) -> Figure | None:
    """The short risk questionnaire by total and psychological items, as finished scores."""
    total, mind = _exact(values, "risk_questionnaire_total"), _exact(values, "distress_score")
    if total is None:
        return None
    numbers = [Number("total", (total, total), 9)]
    if mind is not None:
        numbers.append(Number("psychological", (mind, mind), 5))
    meaning = ""
    if mind is not None and mind > total:
        meaning = "the two scores do not fit each other"
    elif total <= 3:
        meaning = "low risk of lasting limitation"
    elif mind is not None:
        meaning = f"{'high' if mind >= 4 else 'medium'} risk of lasting limitation"
    inputs = ("risk_questionnaire_total", "distress_score")
    return Figure("risk-questionnaire", "lasting limitation", inputs, tuple(numbers), meaning)


def loose_joints(record: Record, values: Values) -> Figure | None:
    """The Beighton score against the cut-offs that are possible at this age."""
    score, age = _exact(values, "beighton"), values.get("age")
    if score is None:
        return None
    years = _span(age, (0, 150)) if isinstance(age, Amount) else (0, 150)
    puberty = Tri.FALSE if years[0] >= ADULT else Tri.UNKNOWN
    answers = values.get("loose_joint_answers")
    asked = _span(answers, (0, 5)) if isinstance(answers, Amount) else (0, 5)
    found = beighton((score, score), years, puberty, asked)
    cuts = " or ".join(str(cut) for cut in found.cut_offs)
    words = {Tri.TRUE: "reached", Tri.FALSE: "not reached", Tri.UNKNOWN: "not decided"}
    return Figure(
        "loose-joints", "loose joints all over", ("beighton", "age", "loose_joint_answers"),
        (Number("score", (score, score), 9), Number("cut_off", cuts)),
        f"cut-off for this age {words[found.reached]} by the score alone, "
        f"{words[found.general]} with the five questions",
    )  # fmt: skip


def _since_first(record: Record, name: str, now: int) -> tuple[tuple[Number, ...], tuple[str, ...]]:
    start = first(record, name)
    if start is None or start[0] != start[1]:
        return (), ()
    told = change(INSTRUMENTS[FUNCTION[name]], start[0], now)
    return _change(told), _of_change(told)


def _of_change(told: Change) -> tuple[str, ...]:
    """What is weak about this change; what holds of every change the rule book says."""
    general = {known.disagreement for known in INSTRUMENTS.values()}
    return tuple(weak for weak in told.weaknesses[1:] if weak not in general)


def _change(told: Change) -> tuple[Number, ...]:
    numbers = [Number("points_better", told.points)]
    if told.share is not None:
        numbers.append(Number("percent_better", half_up_fraction(told.share * 100)))
    word = "worse" if told.worse_by_points else "less than matters"
    if told.better_by_points or told.better_by_share:
        by = [
            name
            for name, so in (("points", told.better_by_points), ("30 %", told.better_by_share))
            if so
        ]
        word = f"better by {' and '.join(by)}"
    return (*numbers, Number("against_the_first", word))


def half_up_fraction(value: Fraction) -> Fraction:
    """To a tenth, half up."""
    return Fraction(half_up(value, 1))


def _exact(values: Values, name: str) -> int | None:
    value = values.get(name)
    return value.exact if isinstance(value, Amount) else None


def _span(value: Amount, widest: Span) -> Span:
    low = widest[0] if value.low is None else max(value.low, widest[0])
    high = widest[1] if value.high is None else min(value.high, widest[1])
    return low, high


def _band(band: str) -> str:
    return band.replace("_", " ")
