"""Which answers still count: shortened, voided, resolved, of several, not applicable."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.vocabulary.ageing import (
    Standing,
    stand,
)
from cds.vocabulary.model import (
    Finding,
    GoodFor,
    Kind,
    Scope,
)
from cds.vocabulary.reading import (
    read_case,
)
from cds.vocabulary.values import (
    NOT_APPLICABLE,
    Amount,
    Choice,
    Missing,
)
from tests.vocabulary.sample import (
    COURSE,
    DAYS_28,
    FINDINGS,
    FULL,
    THIS_SESSION,
    TODAY,
    VOCAB,
    ago,
    case,
    no,
    one,
    presence,
    standing,
    vocabulary,
    why,
    yes,
)

# ---------------------------------------------------------------- with
SADDLE = presence("it", good_for=replace(DAYS_28, with_=(("leg", THIS_SESSION),)))
LEG = presence("leg", good_for=GoodFor(days=7))


@pytest.mark.parametrize(
    ("leg", "observed", "wanted"),
    [
        ("no", ago(28), None),
        ("no", ago(29), "expired"),
        ("yes", ago(1), "expired"),
        ("yes", ago(0), None),
        ({"missing": "patient_unsure"}, ago(1), "expired"),
        ({"missing": "patient_unsure"}, ago(0), None),
        (no(ago(8)), ago(1), "expired"),  # the other one has itself expired: unknown
        (no(ago(7)), ago(1), None),
    ],
)
def test_another_finding_shortens_while_adverse_or_unknown(
    leg: Any, observed: str, wanted: str | None
) -> None:
    assert why(one(SADDLE, no(observed), LEG, answers={"leg": leg})) == wanted


def test_a_finding_that_does_not_apply_shortens_nothing() -> None:
    from_leg = presence("it", good_for=replace(DAYS_28, with_=(("segment.x", THIS_SESSION),)))
    level = presence("segment.x", scope=Scope.SEGMENT)
    for segments, wanted in (([], None), ([{"level": "L5"}], "expired")):
        assert why(one(from_leg, no(ago(1)), level, segments=segments)) == wanted
    negative = [{"level": "L5", "answers": {"x": "no"}}, {"level": "L4", "answers": {"x": "no"}}]
    assert why(one(from_leg, no(ago(1)), level, segments=negative)) is None
    negative[1]["answers"] = {"x": "yes"}
    assert why(one(from_leg, no(ago(1)), level, segments=negative)) == "expired"


def test_two_that_lean_on_each_other_do_not_depend_on_their_order() -> None:
    one_way = presence("a", good_for=replace(DAYS_28, with_=(("b", THIS_SESSION),)))
    other = presence("b", good_for=replace(DAYS_28, with_=(("a", THIS_SESSION),)))
    for first, second, wanted in (
        (ago(1), ago(1), {"a": Missing.STALE, "b": Missing.STALE}),
        (ago(1), ago(0), {}),
        (ago(0), ago(1), {}),
    ):
        for findings in ((one_way, other), (other, one_way)):
            found = standing(vocabulary(*findings), answers={"a": no(first), "b": no(second)})
            assert found.missing == wanted


# ---------------------------------------------------------------- voided
BRUISING = presence("it", good_for=DAYS_28, voided_by=("drug",))
DRUG = presence("drug")


@pytest.mark.parametrize(
    ("event", "wanted"),
    [
        (yes(ago(4)), "voided"),
        (yes(ago(5)), "voided"),  # the same earlier day: which came first is not known
        (yes(ago(6)), None),
        (no(ago(4)), None),
        ({"missing": "declined"}, None),
        ({"value": {"one_of": ["no", "yes"]}, "observed": ago(4)}, "voided"),
        ([yes(ago(9)), no(ago(1))], None),
    ],
)
def test_an_event_since_voids_a_negative(event: Any, wanted: str | None) -> None:
    found = one(BRUISING, no(ago(5)), DRUG, answers={"drug": event})
    assert why(found) == wanted
    if wanted:
        assert found.stale[0].by == "drug"


def test_a_resolved_event_voids_all_the_same() -> None:
    ended = [{"finding": "drug", "on": ago(2), "how": "asked", "by": "t-1"}]
    found = one(BRUISING, no(ago(5)), DRUG, answers={"drug": yes(ago(4))}, resolved=ended)
    assert why(found) == "voided"


def test_answers_of_today_were_given_knowing_of_today() -> None:
    assert why(one(BRUISING, no(ago(0)), DRUG, answers={"drug": yes(ago(0))})) is None


def test_a_positive_is_never_voided() -> None:
    found = one(BRUISING, yes(ago(5)), DRUG, answers={"drug": yes(ago(4))})
    assert found.values["it"] == Choice(("yes",))


def test_a_level_is_voided_by_the_case() -> None:
    level = presence("segment.it", scope=Scope.SEGMENT, voided_by=("drug",))
    segments = [{"level": "L5", "answers": {"it": no(ago(5))}}]
    found = standing(vocabulary(level, DRUG), segments=segments, answers={"drug": yes(ago(1))})
    assert why(found, "segment.it@L5") == "voided"


# ---------------------------------------------------------------- resolved
def ended(finding: Finding, answer: Any, how: str, on: str, **more: Any) -> Standing:
    entry = {"finding": "it", "how": how, "on": on, "by": "t-1"}
    return one(finding, answer, resolved=[entry], **more)


SERIOUS = presence("it", good_for=DAYS_28, ends_by=("specialist", "imaging"))


@pytest.mark.parametrize("how", ["asked", "examined", "imaging", "specialist"])
def test_a_positive_ends_only_in_an_allowed_way(how: str) -> None:
    found = ended(SERIOUS, yes(ago(9)), how, ago(3))
    if how in SERIOUS.ends_by:
        assert why(found) == "resolved"
        assert not found.rejected
    else:
        assert found.values["it"] == Choice(("yes",))
        assert [(aside.name, aside.why) for aside in found.rejected] == [("it", "wrong_way")]
    anyhow = ended(presence("it", good_for=DAYS_28), yes(ago(9)), how, ago(3))
    assert why(anyhow) == "resolved"


@pytest.mark.parametrize(
    ("on", "observed", "stands"),
    [
        (ago(10), None, True),
        (ago(9), None, True),  # the same day: which came first is not known
        (ago(8), None, False),
        (ago(9), ago(9), False),  # it names the answer that it ends
        (ago(9), ago(10), True),
        (ago(3), ago(9), False),
        (ago(3), ago(10), True),  # it ends an earlier answer, not this one
    ],
)
def test_a_resolution_follows_the_finding(on: str, observed: str | None, stands: bool) -> None:
    named = {} if observed is None else {"observed": observed}
    entry = {"finding": "it", "how": "imaging", "on": on, "by": "t-1", **named}
    found = one(SERIOUS, yes(ago(9)), resolved=[entry])
    assert ("it" in found.values) == stands
    assert [aside.why for aside in found.rejected] == (["too_early"] if stands else [])


def test_asking_again_ends_no_positive() -> None:
    found = one(SERIOUS, [yes(ago(9)), no(ago(0))])
    assert found.values["it"] == Choice(("yes",))
    assert found.used["it"].age_days == 9


def test_after_a_resolution_an_answer_from_then_on_counts() -> None:
    for observed, wanted in ((ago(10), "resolved"), (ago(9), None), (ago(1), None)):
        found = ended(SERIOUS, [yes(ago(9)), no(observed)], "imaging", ago(3))
        assert why(found) == wanted


def test_a_newer_positive_outlives_an_older_resolution() -> None:
    found = ended(SERIOUS, [yes(ago(9)), yes(ago(1))], "imaging", ago(3))
    assert found.used["it"].age_days == 1


def test_a_level_is_resolved_for_itself() -> None:
    segments = [{"level": name, "answers": {"slip": yes(ago(9))}} for name in ("L4", "L5")]
    entry = {"finding": "segment.slip", "level": "L5", "on": ago(1), "how": "imaging", "by": "r"}
    found = standing(segments=segments, resolved=[entry])
    assert found.values["segment.slip@L4"] == Choice(("yes",))
    assert why(found, "segment.slip@L5") == "resolved"


# ---------------------------------------------------------------- numbers that are positives
def left(**more: Any) -> Finding:
    return Finding(
        "it", Kind.NUMBER, "it?", "it", unit="mL", adverse=("up",), positive_from=Decimal(200),
        good_for=THIS_SESSION, ends_by=("imaging",), **more,
    )  # fmt: skip


@pytest.mark.parametrize(("volume", "stands"), [(199, False), (200, True), (201, True)])
def test_a_number_that_is_a_positive_never_expires(volume: int, stands: bool) -> None:
    found = one(left(), {"value": volume, "observed": ago(9)})
    assert ("it" in found.values) == stands
    assert why(found) == (None if stands else "expired")


def test_measuring_again_ends_no_positive_and_the_worst_counts() -> None:
    older = [{"value": 250, "observed": ago(9)}, {"value": 400, "observed": ago(8)}]
    found = one(left(), [*older, {"value": 50, "observed": ago(0)}])
    assert found.values["it"] == Amount(400, 400)
    entry = {"finding": "it", "on": ago(5), "how": "imaging", "by": "r-1"}
    found = one(left(), [*older, {"value": 50, "observed": ago(0)}], resolved=[entry])
    assert found.values["it"] == Amount(50, 50)


def test_a_low_number_is_neither_voided_nor_expired_and_a_good_one_is() -> None:
    score = replace(
        left(voided_by=("drug",)), step=Decimal("0.1"), adverse=("down",),
        positive_from=Decimal("-2.5"), good_for=GoodFor(months=24),
    )  # fmt: skip
    event = {"drug": yes(ago(1))}
    for value, wanted in (("-2.5", None), ("-2.4", "voided"), ("-3", None)):
        answer = {"value": Decimal(value), "observed": "2019-01-01"}
        assert why(one(score, answer, DRUG, answers=event)) == wanted


# ---------------------------------------------------------------- applies
@pytest.mark.parametrize(
    ("answers", "wanted"),
    [
        ({"leg_symptoms": "no"}, NOT_APPLICABLE),
        ({"leg_symptoms": "yes", "leg_side": "left"}, Choice(("left",))),
        ({"leg_side": "left"}, Choice(("left",))),  # unknown whether, but recorded: it applies
        ({"leg_symptoms": "yes"}, None),
        ({}, None),
        ({"leg_symptoms": no(ago(1))}, None),  # expired: unknown again
    ],
)
def test_a_finding_applies_unless_it_surely_does_not(answers: Any, wanted: object) -> None:
    found = standing(answers=answers)
    assert found.values.get("leg_side") == wanted
    assert ("leg_side" in found.missing) == (wanted is None)


def test_history_that_no_longer_applies_is_set_aside() -> None:
    old = {"value": "left", "observed": ago(9)}
    found = standing(answers={"leg_symptoms": "no", "leg_side": old})
    assert found.values["leg_side"] is NOT_APPLICABLE
    assert [(aside.name, aside.why) for aside in found.rejected] == [("leg_side", "does_not_apply")]


def test_said_to_be_not_applicable_is_unknown() -> None:
    found = standing(answers={"leg_side": {"missing": "not_applicable"}})
    assert found.missing["leg_side"] is Missing.NOT_APPLICABLE


# ---------------------------------------------------------------- levels
def test_levels_that_were_not_sent_are_one_nameless_level() -> None:
    found = standing()
    assert found.missing["segment.provocation@unnamed"] is Missing.NOT_ASKED
    assert not [name for name in found.values if "@" in name]


def test_no_levels_is_no_level_and_each_level_stands_for_itself() -> None:
    assert not [name for name in standing(segments=[]).missing if "@" in name]
    listed = [{"level": "L5", "answers": {"slip": "no"}}, {"level": "S1"}]
    found = standing(segments=listed)
    assert found.values["segment.slip_grade@L5"] is NOT_APPLICABLE
    assert found.missing["segment.slip@S1"] is Missing.NOT_ASKED


# ---------------------------------------------------------------- always
def random_answers(draw: random.Random) -> dict[str, Any]:
    answers: dict[str, Any] = {}
    for finding in VOCAB.case_findings.values():
        if finding.numeric or finding.applies_when or draw.random() < 0.3:
            continue
        answers[finding.name] = [
            {"value": draw.choice(finding.values), "observed": ago(draw.randint(0, 40))}
            for _ in range(draw.randint(1, 3))
        ]
    return answers


@given(st.randoms(use_true_random=False))
def test_everything_is_known_or_missing_and_order_has_no_meaning(draw: random.Random) -> None:
    answers = random_answers(draw)
    found = standing(answers=answers, course=COURSE)
    names = set(VOCAB.case_findings)
    assert {n for n in found.values if "@" not in n} | {
        n for n in found.missing if "@" not in n
    } == names
    assert not set(found.values) & set(found.missing)
    assert set(found.used) == {n for n, v in found.values.items() if v is not NOT_APPLICABLE}
    assert {aside.name for aside in found.stale} <= {
        n for n, reason in found.missing.items() if reason is Missing.STALE
    }
    shuffled = list(FINDINGS)
    draw.shuffle(shuffled)
    other = standing(vocabulary(*shuffled), answers=answers, course=COURSE)
    assert (other.values, other.missing, other.used) == (found.values, found.missing, found.used)
    for many in answers.values():
        draw.shuffle(many)
    turned = standing(answers=answers, course=COURSE)
    assert (turned.values, turned.missing) == (found.values, found.missing)


def test_a_full_case_stands() -> None:
    found = stand(VOCAB, read_case(VOCAB, FULL))
    assert found.used["cancer_ever"].answer.how == "by_block"
    assert found.missing["weakness"] is Missing.DECLINED
    assert date(2026, 11, 20) == TODAY
    assert case()["as_of"] == "2026-11-20"
