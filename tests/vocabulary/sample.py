"""A small invented vocabulary: one finding of each kind, and of each way of ageing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from cds.rulebook.conditions import Group, Leaf, Members, Source
from cds.vocabulary.ageing import WHY, Standing, stand
from cds.vocabulary.core import core_conclusions
from cds.vocabulary.model import (
    Conclusion,
    Family,
    Feature,
    Finding,
    GoodFor,
    Kind,
    Ladder,
    Rung,
    Scope,
)
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Missing, Op
from cds.vocabulary.vocabulary import Vocabulary

TODAY = date(2026, 11, 20)

THIS_SESSION = GoodFor(this_session=True)
DAYS_28 = GoodFor(days=28)


@dataclass(frozen=True)
class Block:
    ask: str
    findings: tuple[str, ...]


@dataclass(frozen=True)
class Names:
    findings: Mapping[str, Finding]
    conclusions: Mapping[str, Conclusion]
    ladder: Ladder
    blocks: Mapping[str, Block]
    parameters: Mapping[str, int]
    features: Mapping[str, Feature] = field(default_factory=dict)


def presence(name: str, **more: Any) -> Finding:
    more.setdefault("adverse", ("yes",))
    return Finding(name, Kind.PRESENCE, f"{name}?", name, values=("no", "yes"), **more)


def choice(name: str, *values: str, adverse: tuple[str, ...] = (), **more: Any) -> Finding:
    return Finding(name, Kind.CHOICE, f"{name}?", name, values=values, adverse=adverse, **more)


def number(name: str, kind: Kind, low: str | None, high: str | None, **more: Any) -> Finding:
    ends = [None if end is None else Decimal(end) for end in (low, high)]
    return Finding(name, kind, f"{name}?", name, low=ends[0], high=ends[1], **more)


def is_(name: str, *words: str) -> Leaf:
    return Leaf(Source.FINDING, name, Op.IN, words)


FINDINGS = (
    presence("leg_symptoms", good_for=THIS_SESSION, ask_alone=True),
    choice(
        "leg_side", "left", "right", "both",
        applies_when=is_("leg_symptoms", "yes"), good_for=THIS_SESSION,
        mirror=(("left", "right"), ("right", "left")),
    ),
    choice(
        "saddle_sensation", "normal", "altered",
        adverse=("altered",), ask_alone=True, voided_by=("new_trauma",),
        good_for=replace(DAYS_28, with_=(("leg_symptoms", THIS_SESSION),)),
        ends_by=("specialist", "imaging", "examined"), unchanged_not_with=("leg_symptoms",),
    ),
    choice(
        "weakness", "none", "mild", "severe",
        ordered=True, adverse=("mild", "severe"), good_for=DAYS_28,
    ),
    choice("bladder", "normal", "hesitant", "retention", adverse=("hesitant", "retention")),
    presence("new_trauma", good_for=THIS_SESSION, ask_alone=True),
    presence("anticoagulant", good_for=THIS_SESSION),
    presence("bruising", good_for=THIS_SESSION, voided_by=("anticoagulant",)),
    presence("cancer_ever", good_for=GoodFor(episode=True), block="serious"),
    presence("fever", good_for=THIS_SESSION, block="serious"),
    choice("infection_risk", "none", "some", "many", adverse=("some", "many"), block="serious"),
    presence("slip_known", good_for=GoodFor(), block="serious", unchanged=False),
    presence(
        "pregnant", good_for=DAYS_28, block="serious",
        applies_when=Members(Group.NONE, (is_("past_menopause", "yes"),)),
    ),
    presence("past_menopause", adverse=()),
    number(
        "t_score", Kind.NUMBER, "-6", "6", step=Decimal("0.1"), unit="{T-score}",
        adverse=("down",), good_for=GoodFor(months=24),
    ),
    number("pain", Kind.SCORE, "0", "10", adverse=("up",), good_for=THIS_SESSION),
    number("falls", Kind.COUNT, None, None, good_for=DAYS_28),
    number("dose", Kind.NUMBER, "0", "100", step=Decimal(5), good_for=DAYS_28),
    number("operated_on", Kind.DATE, None, None),
    choice(
        "segment.provocation", "none", "local", "concordant",
        scope=Scope.SEGMENT, good_for=THIS_SESSION,
    ),
    choice(
        "segment.restricted", "none", "left", "right", "both",
        scope=Scope.SEGMENT, good_for=THIS_SESSION,
        mirror=(("left", "right"), ("right", "left")),
    ),
    presence("segment.slip", scope=Scope.SEGMENT),
    choice(
        "segment.slip_grade", "one", "two",
        scope=Scope.SEGMENT, applies_when=is_("segment.slip", "yes"),
    ),
)  # fmt: skip

LADDER = Ladder(
    tuple(Rung(name, name) for name in ("no_treatment", "exercise_only", "gentle", "thrust")),
    (
        Family("gentle", "Gentle", "hands_on", ("barred", "allowed"), (("gentle", "allowed"),)),
        Family("thrust", "Thrust", "hands_on", ("barred", "allowed"), (("thrust", "allowed"),)),
        Family("home_flexion", "Flexion", "home", ("barred", "allowed")),
    ),
)


def vocabulary(*findings: Finding, **parameters: int) -> Vocabulary:
    """These findings, with the sample's ladder, blocks and destinations."""
    members = ("cancer_ever", "fever", "infection_risk", "slip_known", "pregnant", "leg_symptoms")
    return Vocabulary.of(
        Names(
            findings={finding.name: finding for finding in findings},
            conclusions=core_conclusions(("emergency_department", "physician"), (), LADDER),
            ladder=LADDER,
            blocks={"serious": Block("Any of these?", (*members, "pain", "segment.slip"))},
            parameters=parameters,
        )
    )


VOCAB = vocabulary(*FINDINGS)


def ago(days: int) -> str:
    """The day so many days before the as-of date."""
    return (TODAY - timedelta(days)).isoformat()


def case(**more: Any) -> dict[str, Any]:
    return {"as_of": TODAY.isoformat(), "moment": "before_session", **more}


def standing(vocab: Vocabulary = VOCAB, **more: Any) -> Standing:
    return stand(vocab, read_case(vocab, case(**more)))


FULL: dict[str, Any] = case(
    moment="during_session",
    subject="s-01",
    episode="e-01",
    patient={"born": "1992-03", "sex": "female"},
    answers={
        "leg_symptoms": "yes",
        "leg_side": {"value": {"one_of": ["both", "left"]}},
        "saddle_sensation": {
            "value": "normal", "observed": ago(3), "asked": ago(0),
            "how": "confirmed_unchanged", "confirmations": 2, "by": "t-1",
        },
        "weakness": [
            {"value": "severe", "observed": ago(40), "how": "examined"},
            {"missing": "declined", "observed": ago(1)},
        ],
        "t_score": {"value": Decimal("-2.1"), "observed": "2024-12-01", "how": "record"},
        "pain": {"value": {"more_than": 3, "less_than": 7}},
        "falls": 2,
        "operated_on": "2019-07",
    },
    blocks={"serious": "none_of_these"},
    resolved=[
        {"finding": "weakness", "on": ago(2), "how": "examined", "by": "t-1"},
        {"finding": "segment.slip", "level": "L5", "on": ago(2), "how": "imaging", "by": "r-1"},
    ],
    segments=[
        {
            "level": "L5",
            "prominent": {"flexion": "left", "neutral": "symmetric", "extension": "right"},
            "grades": {"flexion": 2, "extension": 1},
            "answers": {"provocation": "concordant", "restricted": "left"},
        },
        {"level": "L2", "answers": {"slip": "yes", "slip_grade": "one"}},
    ],
    course=[
        {
            "on": ago(9), "therapist": "t-2", "advised": "gentle",
            "given": [{"level": "L5", "rung": "gentle", "side": "left", "technique": "card-1"}],
            "guarding_before": "moderate", "guarding_after": "mild",
            "pain_before": 6, "pain_after": 4, "settled": "within_24h", "adverse": "none",
            "medicine_before": "none", "comparable_sign": "better", "spread": "none",
            "stop_sign": "no",
        },
        {"on": ago(4)},
    ],
    today={"steps": [{"rung": "gentle", "level": "L5", "guarding": "mild", "pain": 3,
                      "spread": "none", "new_sign": "no", "set_up": "easy", "card": "card-1"}]},
    referrals=[{"to": "physician", "urgency": "routine", "on": ago(9),
                "outcome": "seen_treated", "outcome_on": ago(5)}],
    consents=[{"family": "thrust", "region": "lumbar", "on": ago(0), "by": "s-01",
               "capacity": "yes", "risks_given": "yes", "alternative_given": "yes",
               "interpreter": "used"}],
    clinician={"id": "t-1", "training": {"thrust": "yes", "gentle": "no"}},
)  # fmt: skip
"""A case with everything in it."""


COURSE = [{"on": ago(days)} for days in (35, 21, 14, 7)]


def one(finding: Finding, answer: Any, *others: Finding, **more: Any) -> Standing:
    """How one finding stands; `more`: other answers (`answers`), course, resolved."""
    given = {finding.name: answer, **more.pop("answers", {})}
    return standing(vocabulary(finding, *others), answers=given, **more)


def why(found: Standing, name: str = "it") -> str | None:
    """Why it is stale, or None when it has a value."""
    if name in found.values:
        assert name in found.used
        assert name not in found.missing
        return None
    assert found.missing[name] is Missing.STALE
    (aside,) = [aside for aside in found.stale if aside.name == name]
    assert aside.why in WHY
    return aside.why


def no(observed: str, **more: Any) -> dict[str, Any]:
    return {"value": "no", "observed": observed, **more}


def yes(observed: str, **more: Any) -> dict[str, Any]:
    return {"value": "yes", "observed": observed, **more}
