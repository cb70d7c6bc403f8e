"""All features together: nothing certain is taken back, sides do not matter, names are known."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any, ClassVar, cast

from hypothesis import given, settings
from hypothesis import strategies as st

from cds.features.compute import features, inputs
from cds.features.examination import CAUDA_EQUINA, CORD, NEUROLOGICAL
from cds.features.record import Record
from cds.rulebook.program import Program
from cds.vocabulary.ageing import Standing
from cds.vocabulary.case import Answer, Step
from cds.vocabulary.computed import FEATURES, PATH_FEATURES, RUNGS
from cds.vocabulary.model import NAMELESS, Finding
from cds.vocabulary.values import Amount, Choice
from tests.features.cases import (
    AS_OF,
    FINDINGS,
    ROWS,
    SESSION_PARTS,
    SESSIONS,
    SIDES,
    STEP_PARTS,
    STEPS,
    a_case,
    a_record,
    a_session,
    mirror_case,
    mirrored,
    narrows,
    palpated,
    plain,
    records,
)


def computed(record: Record) -> dict[str, Any]:
    return features(record, ROWS)


def _fill(draw: st.DrawFn, item: Any, parts: dict[str, st.SearchStrategy[Any]]) -> Any:
    # A set-up is asked of a thrust only: elsewhere it is not an unknown, though a problem counts.
    unknown = [
        name
        for name in parts
        if getattr(item, name) is None and (name != "set_up" or item.rung == "thrust")
    ]
    if not unknown:
        return item
    name = draw(st.sampled_from(unknown))
    return replace(item, **{name: draw(parts[name].filter(lambda value: value is not None))})


@st.composite
def answered(draw: st.DrawFn) -> tuple[Record, Record]:
    """A record, and the same with some of its unknowns answered."""
    before = draw(records())
    case = before.case
    changed: dict[str, Any] = {}
    if case.course is None:
        changed["course"] = tuple(draw(st.lists(SESSIONS, max_size=3)))
    else:
        changed["course"] = tuple(_fill(draw, each, SESSION_PARTS) for each in case.course)
    if case.steps is None:
        changed["steps"] = tuple(draw(st.lists(STEPS, max_size=3)))
    else:
        changed["steps"] = tuple(_fill(draw, each, STEP_PARTS) for each in case.steps)
    if case.segments is not None:
        sides = dict.fromkeys(("flexion", "neutral", "extension"), SIDES)
        changed["segments"] = tuple(
            _fill(draw, replace(each, grades={}), sides) for each in case.segments
        )
        # Grades refine a level that is read from its sides alone where they lack: not unknowns.
        ungraded = tuple(replace(each, grades={}) for each in case.segments)
        before = replace(before, case=replace(case, segments=ungraded))
    changed["clinician"] = case.clinician or draw(st.sampled_from(("t-1", "t-2")))
    more = {
        "guarding": Choice((draw(st.sampled_from(("none", "mild", "moderate", "marked"))),)),
        "pain": Amount(*[draw(st.integers(0, 10))] * 2),
        "medicine_today": Choice((draw(st.sampled_from(("none", "opioid"))),)),
    }
    after = replace(
        before,
        case=replace(before.case, **changed),
        standing={**more, **before.standing},
    )
    return before, after


@settings(max_examples=150)
@given(answered())
def test_an_answer_only_narrows(pair: tuple[Record, Record]) -> None:
    before, after = computed(pair[0]), computed(pair[1])
    for name, value in before.items():
        assert narrows(value, after.get(name)), (name, value, after.get(name))


@settings(max_examples=100)
@given(records())
def test_a_mirrored_case_has_mirrored_features(record: Record) -> None:
    other = replace(record, case=mirror_case(record.case))
    expected = {name: mirrored(name, value) for name, value in computed(record).items()}
    assert computed(other) == expected


@settings(max_examples=100)
@given(records())
def test_values_are_declared(record: Record) -> None:
    for name, value in computed(record).items():
        feature = FEATURES[name.partition("@")[0]]
        assert ("@" in name) == name.startswith("segment.")
        if isinstance(value, Choice):
            assert value.options
            assert value.options == tuple(w for w in feature.values if w in value.options), name
        if isinstance(value, Amount):
            assert feature.numeric, name


class Book:
    """The parts of a program that features read."""

    findings: ClassVar[dict[str, Finding]] = FINDINGS
    parameters: ClassVar[dict[str, int]] = {"gap_days": 3}
    positional = ROWS
    rung_names = RUNGS

    @property
    def ladder(self) -> Book:
        return self


PROGRAM = cast(Program, Book())


def test_every_feature_but_the_path_can_be_known() -> None:
    session = a_session(
        5, "mobilization_1", therapist="t-1", guarding_before="marked", guarding_after="mild",
        pain_before=6, pain_after=3, settled="within_24h", adverse="none", medicine_before="none",
        comparable_sign="better", spread="none", stop_sign="no", worsened_at="mobilization_1",
    )  # fmt: skip
    worse = replace(session, on=session.on + timedelta(days=2), guarding_after="marked",
                    guarding_before="none")  # fmt: skip
    step = Step("muscle_energy", "L5", "marked", 4, "none", "no", "easy")
    exam = Answer("power", Choice(("normal",)), None, AS_OF, AS_OF, "examined")
    score = Answer("", Amount(12, 12), None, AS_OF - timedelta(days=30), AS_OF, "asked")
    later = replace(score, observed=AS_OF)
    record = a_record(
        {
            "pain": 4, "guarding": "mild", "medicine_today": "none", "active_extension": "poor",
            "active_side_bending": "right", "active_rotation": "right",
            "duration_days": 40,
            "disability_index": 30, "roland_morris": 9,
        },
        moment="during_session", age_low=40, age_high=40, sex="female",
        answers=dict.fromkeys((*NEUROLOGICAL, *CAUDA_EQUINA, *CORD), (exam,))
        | dict.fromkeys(("disability_index", "roland_morris"), (score, later)),
        course=(session, worse), steps=(step,), segments=(palpated("L5", "0LL"),),
        referrals_sent=True, consents_sent=True, clinician="t-1",
        training={"muscle_energy": "yes", "mobilization": "yes", "thrust": "no"},
    )  # fmt: skip
    bare = {name.partition("@")[0] for name in features(record, ROWS)}
    assert bare == set(FEATURES) - PATH_FEATURES


def test_an_unknown_case_says_only_what_is_certain() -> None:
    found = {k: plain(v) for k, v in features(a_record(), ROWS).items() if k[:6] != "today."}
    assert found == {"moment": "before_session", "segments_listed": (0, None),
                     "session_number": (1, None), "function_score_due": "yes"}  # fmt: skip


def test_inputs_merge_answers_and_features() -> None:
    standing = Standing(values={"guarding": Choice(("mild",)), "segment.mobility@L5": STIFF})
    case = a_case(segments=(palpated("L5", "00L"),), course=(a_session(4, "thrust"),))
    found = inputs(PROGRAM, case, standing)
    assert found.levels == {"L5"}
    assert found.values["guarding"] == Choice(("mild",))
    assert found.values["segment.mobility@L5"] == STIFF
    assert found.values["segment.pattern@L5"] == Choice(("flexed",))
    assert found.values["gap"] == Choice(("yes",))  # the book's own parameter


def test_a_missing_list_of_segments_is_one_nameless_level() -> None:
    found = inputs(PROGRAM, a_case(), Standing())
    assert found.levels == {NAMELESS}
    assert not [name for name in found.values if name.startswith("segment.")]
    assert inputs(PROGRAM, a_case(segments=()), Standing()).levels == frozenset()


STIFF = Choice(("stiff",))
