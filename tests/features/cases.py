"""Invented records for the tests of features, and the strategies that make random ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import date, timedelta
from typing import Any

import yaml
from hypothesis import strategies as st

from cds.features.record import Record
from cds.rulebook.book import PositionalRow
from cds.vocabulary.case import Case, Given, Segment, Session, Step
from cds.vocabulary.computed import ADVERSE, COMPARABLE, FEATURES, GUARDING, RUNGS, SPREAD
from cds.vocabulary.model import LEVELS, MOMENTS, Finding, Kind
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Input
from tests.support.optional import ROOT

AS_OF = date(2026, 11, 20)
SWAP = {"left": "right", "right": "left"}


def _rows() -> tuple[PositionalRow, ...]:
    data = yaml.safe_load((ROOT / "rules" / "positional.yaml").read_text(encoding="utf-8"))
    return tuple(
        PositionalRow(
            number=row["row"],
            restricted=tuple(row["restricted"]),
            **{key: row[key] for key in row if key not in ("row", "restricted")},
        )
        for row in data["positional"]
    )


ROWS = _rows()
"""The table of the shipped rule book."""

FINDINGS = {
    "pain": Finding("pain", Kind.SCORE, "", ""),
    "active_flexion": Finding("active_flexion", Kind.CHOICE, "", "", values=("full", "limited")),
    "active_extension": Finding(
        "active_extension", Kind.CHOICE, "", "", values=("free", "poor"), adverse=("poor",)
    ),
    "active_side_bending": Finding("active_side_bending", Kind.CHOICE, "", ""),
    "active_rotation": Finding("active_rotation", Kind.CHOICE, "", ""),
    "segment.sagittal_motion": Finding(
        "segment.sagittal_motion", Kind.CHOICE, "", "", values=("neither", "flexion", "extension")
    ),
}


def a_case(**changed: Any) -> Case:
    """A case in which nothing is known but the moment."""
    empty: dict[str, Any] = dict.fromkeys(field.name for field in fields(Case))
    empty |= {
        "as_of": AS_OF, "moment": "before_session", "answers": {}, "resolved": (),
        "referrals": (), "consents": (), "training": {}, "referrals_sent": False,
        "consents_sent": False,
    }  # fmt: skip
    return Case(**(empty | changed))


def a_record(
    standing: Mapping[str, str | int | Input] | None = None,
    parameters: Mapping[str, int] | None = None,
    **changed: Any,
) -> Record:
    """A record of `a_case(**changed)`; standing words and numbers may be written plainly."""
    values: dict[str, Input] = {}
    for name, value in (standing or {}).items():
        if isinstance(value, str):
            values[name] = Choice((value,))
        elif isinstance(value, int):
            values[name] = Amount(value, value)
        else:
            values[name] = value
    return Record(a_case(**changed), values, FINDINGS, parameters or {})


def a_session(days_ago: int = 7, *rungs: str, **changed: Any) -> Session:
    """A session with these rungs given at L5; nothing else is known."""
    given = tuple(Given("L5", rung) for rung in rungs) if rungs else None
    return Session(AS_OF - timedelta(days=days_ago), given=given, **changed)


def palpated(level: str, sides: str, **changed: Any) -> Segment:
    """`0L?` is symmetric in flexion, left in neutral, unknown in extension."""
    words = {"0": "symmetric", "L": "left", "R": "right", "?": None}
    return Segment(level, *(words[side] for side in sides), **changed)


def plain(value: Input | None) -> object:
    """A word, a number, a set of words, a pair; `unknown` or `n/a`."""
    if value is None:
        return "unknown"
    if value is NOT_APPLICABLE:
        return "n/a"
    if isinstance(value, Choice):
        return value.exact or set(value.options)
    assert isinstance(value, Amount)
    return value.low if value.exact is not None else (value.low, value.high)


def narrows(before: Input | None, after: Input | None) -> bool:
    """Whether `after` is possible by what `before` said, and says no less."""
    if before is None:
        return True
    if isinstance(before, Choice):
        return isinstance(after, Choice) and set(after.options) <= set(before.options)
    if isinstance(before, Amount):
        if not isinstance(after, Amount):
            return False
        low = before.low is None or (after.low is not None and after.low >= before.low)
        return low and (
            before.high is None or (after.high is not None and after.high <= before.high)
        )
    return after is NOT_APPLICABLE


def mirrored(name: str, value: Input) -> Input:
    """A feature with left and right exchanged; options in their declared order."""
    feature = FEATURES[name.partition("@")[0]]
    if not isinstance(value, Choice) or not feature.mirror:
        return value
    swapped = {SWAP.get(word, word) for word in value.options}
    return Choice(tuple(word for word in feature.values if word in swapped))


def mirror_case(case: Case) -> Case:
    """The case with the prominent sides of all levels exchanged."""
    if case.segments is None:
        return case

    def swap(side: str | None) -> str | None:
        return SWAP.get(side or "", side)

    segments = tuple(
        replace(s, flexion=swap(s.flexion), neutral=swap(s.neutral), extension=swap(s.extension))
        for s in case.segments
    )
    return replace(case, segments=segments)


# ---------------------------------------------------------------- random records


def maybe(*words: str) -> st.SearchStrategy[str | None]:
    return st.none() | st.sampled_from(words)


PAINS = st.none() | st.integers(0, 10)
GIVEN = st.none() | st.lists(st.sampled_from(RUNGS).map(lambda r: Given("L5", r)), max_size=2).map(
    tuple
)
SESSION_PARTS: dict[str, st.SearchStrategy[Any]] = {
    "therapist": maybe("t-1", "t-2"),
    "given": GIVEN,
    "guarding_before": maybe(*GUARDING),
    "guarding_after": maybe(*GUARDING),
    "pain_before": PAINS,
    "pain_after": PAINS,
    "settled": maybe("within_24h", "within_48h", "longer", "not_settled"),
    "adverse": maybe(*ADVERSE),
    "medicine_before": maybe("none", "opioid", "other", "alcohol"),
    "comparable_sign": maybe(*COMPARABLE),
    "spread": maybe(*SPREAD),
    "stop_sign": maybe("no", "yes"),
    "worsened_at": maybe("none", *RUNGS),
}
STEP_PARTS: dict[str, st.SearchStrategy[Any]] = {
    "guarding": maybe(*GUARDING),
    "pain": PAINS,
    "spread": maybe(*SPREAD),
    "new_sign": maybe("no", "yes"),
    "set_up": maybe("easy", "pain", "resistance"),
}
SIDES = maybe("symmetric", "left", "right")
SESSIONS = st.builds(
    Session, on=st.integers(0, 60).map(lambda d: AS_OF - timedelta(days=d)), **SESSION_PARTS
)
STEPS = st.builds(Step, rung=st.sampled_from(RUNGS), **STEP_PARTS)


def _segment(level: str) -> st.SearchStrategy[Segment]:
    grades = st.dictionaries(st.sampled_from(("flexion", "extension")), st.integers(1, 3))
    return st.builds(
        Segment, level=st.just(level), flexion=SIDES, neutral=SIDES, extension=SIDES, grades=grades
    )


SEGMENTS = st.lists(st.sampled_from(LEVELS), unique=True, max_size=6).flatmap(
    lambda levels: st.tuples(*(_segment(level) for level in levels))
)
STANDING = st.fixed_dictionaries(
    {},
    optional={
        "guarding": st.sampled_from(GUARDING),
        "pain": st.integers(0, 10),
        "medicine_today": st.sampled_from(("none", "opioid", "other")),
        "duration_days": st.integers(0, 100),
        "segment.sagittal_motion@L5": st.sampled_from(("neither", "flexion", "extension", "both")),
        "active_flexion": st.sampled_from(("full", "limited")),
        "active_extension": st.sampled_from(("free", "poor")),
    },
)


@st.composite
def records(draw: st.DrawFn) -> Record:
    """A random record, with much of it unknown."""
    none_or = st.none()
    return a_record(
        draw(STANDING),
        moment=draw(st.sampled_from(MOMENTS)),
        course=draw(none_or | st.lists(SESSIONS, max_size=4).map(tuple)),
        steps=draw(none_or | st.lists(STEPS, max_size=4).map(tuple)),
        segments=draw(none_or | SEGMENTS),
        clinician=draw(maybe("t-1", "t-2")),
        sex=draw(maybe("female", "male", "other")),
    )
