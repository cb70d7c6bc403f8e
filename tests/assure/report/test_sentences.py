from __future__ import annotations

from decimal import Decimal

import pytest

from cds.assure.report.sentences import clause, sentence
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source
from cds.vocabulary.values import Op
from tests.assure.report.support import Page, terms, text

FINDING, FEATURE = Source.FINDING, Source.FEATURE
CONCLUSION, POLICY = Source.CONCLUSION, Source.POLICY
FALL = Leaf(FINDING, "fall", Op.IS, ("yes",))
LEGS = Leaf(FINDING, "leg_symptoms", Op.IS, ("yes",))
OLD = Leaf(FEATURE, "age", Op.AT_LEAST, number=Decimal(70))


@pytest.mark.parametrize(
    ("leaf", "shown"),
    [
        (FALL, "Recent fall is present"),
        (Leaf(FINDING, "fall", Op.IS, ("no",)), "Recent fall is absent"),
        (Leaf(FINDING, "fall", Op.IS_NOT, ("yes",)), "Recent fall is absent"),
        (Leaf(FINDING, "fall", Op.KNOWN), "Recent fall is recorded, whatever the answer"),
        (Leaf(FEATURE, "gap", Op.IS, ("yes",)), "Long gap since the last session: yes"),
        (Leaf(FEATURE, "gap", Op.IS, ("no",)), "Long gap since the last session: no"),
        (
            Leaf(FINDING, "saddle_sensation", Op.IS, ("altered",)),
            "Saddle sensation is altered",
        ),
        (
            Leaf(FINDING, "saddle_sensation", Op.IS_NOT, ("altered",)),
            "Saddle sensation is not altered",
        ),
        (
            Leaf(FINDING, "pain_side", Op.IN, ("{side}", "both")),
            "Painful side is this side or both",
        ),
        (
            Leaf(FINDING, "pain_side", Op.IS, ("{other_side}",)),
            "Painful side is the other side",
        ),
        (OLD, "Age is at least 70 years"),
        (
            Leaf(FINDING, "temperature", Op.MORE_THAN, number=Decimal("38.5")),
            "Temperature is more than 38.5 °C",
        ),
        (Leaf(FEATURE, "age", Op.AT_MOST, number=Decimal(17)), "Age is at most 17 years"),
        (Leaf(FINDING, "flares", Op.LESS_THAN, number=Decimal(3)), "Flares is less than 3"),
        (
            Leaf(FEATURE, "pain_between", Op.MORE_THAN, number=Decimal(-2)),
            "Pain change since the end of the last session is more than −2 points (a fall of 2)",
        ),
        (
            Leaf(FEATURE, "pain_between", Op.AT_LEAST, number=Decimal(2)),
            "Pain change since the end of the last session is at least 2 points (a rise of 2)",
        ),
        (
            Leaf(POLICY, "earliest_thrust_session", Op.IS, ("5",)),
            "Local policy “Session from which a thrust may be opened” is set to 5 (as it is now)",
        ),
        (Leaf(FINDING, "flares", Op.IS, number=Decimal(3)), "Flares is 3"),
        (Leaf(FINDING, "flares", Op.IS_NOT, number=Decimal(3)), "Flares is not 3"),
        (
            Leaf(FINDING, "segment.provocation", Op.AT_LEAST, ("local",)),
            "Provocation is at least local (local or concordant)",
        ),
        (
            Leaf(FINDING, "segment.provocation", Op.LESS_THAN, ("concordant",)),
            "Provocation is less than concordant (none or local)",
        ),
        (
            Leaf(FINDING, "segment.provocation", Op.MORE_THAN, ("none",)),
            "Provocation is more than none (local or concordant)",
        ),
        (
            Leaf(FINDING, "segment.provocation", Op.AT_MOST, ("none",)),
            "Provocation is at most none",
        ),
        (
            Leaf(CONCLUSION, "irritable", Op.HOLDS),
            "the book has concluded: Easily stirred up",
        ),
        (
            Leaf(CONCLUSION, "stage", Op.IS, ("early",)),
            "Stage of the episode is concluded as early",
        ),
        (
            Leaf(CONCLUSION, "stage", Op.IS_NOT, ("early",)),
            "Stage of the episode is not concluded as early",
        ),
        (
            Leaf(CONCLUSION, "concern.fracture", Op.AT_LEAST, ("some",)),
            "Concern, Vertebral fracture is concluded as at least some",
        ),
        (Leaf(CONCLUSION, "cautions", Op.EMPTY), "nothing is listed under Cautions"),
        (
            Leaf(CONCLUSION, "cautions", Op.HAS, ("mind-the-side",)),
            "Cautions lists mind-the-side",
        ),
        (
            Leaf(CONCLUSION, "cautions", Op.HAS_ANY_OF, ("a", "b")),
            "Cautions lists a or b",
        ),
        (
            Leaf(POLICY, "earliest_thrust_session", Op.AT_LEAST, number=Decimal(5)),
            "Local policy “Session from which a thrust may be opened” is at least 5 (it is now 5)",
        ),
        (
            Leaf(POLICY, "earliest_thrust_session", Op.IS, ("some_word",)),
            "Local policy “Session from which a thrust may be opened” is set to some word "
            "(it is now 5)",
        ),
        (
            Leaf(POLICY, "no_such", Op.IS_NOT, ("off",)),
            "Local policy “no_such” is not set to off",
        ),
        (
            Leaf(
                FEATURE, "session_number", Op.AT_LEAST, number=Decimal(5),
                policy="earliest_thrust_session",
            ),
            "Number of this session is at least 5, as local policy “Session from which a thrust "
            "may be opened” sets it",
        ),
    ],
)  # fmt: skip
def test_each_operator(leaf: Leaf, shown: str) -> None:
    assert text(clause(terms(), leaf)) == shown


def test_every_operator_has_a_clause() -> None:
    tried = {
        Op.IS, Op.IS_NOT, Op.IN, Op.AT_LEAST, Op.MORE_THAN, Op.AT_MOST, Op.LESS_THAN, Op.KNOWN,
        Op.HOLDS, Op.HAS, Op.HAS_ANY_OF, Op.EMPTY,
    }  # fmt: skip
    assert tried == set(Op)


def group(kind: Group, *members: Condition, at_least: int = 0) -> Members:
    return Members(kind, members, at_least)


@pytest.mark.parametrize(
    ("condition", "shown"),
    [
        (FALL, "When Recent fall is present."),
        (
            group(Group.ALL, FALL, OLD),
            "When both of these hold:|Recent fall is present|Age is at least 70 years",
        ),
        (
            group(Group.ALL, FALL, OLD, LEGS),
            "When all of these hold:|Recent fall is present|Age is at least 70 years|"
            "Leg symptoms is present",
        ),
        (
            group(Group.ANY, FALL, OLD),
            "When either of these holds:|Recent fall is present|Age is at least 70 years",
        ),
        (
            group(Group.ANY, FALL, OLD, LEGS),
            "When any of these holds:|Recent fall is present|Age is at least 70 years|"
            "Leg symptoms is present",
        ),
        (
            group(Group.SOME, FALL, OLD, LEGS, at_least=2),
            "When at least 2 of these 3 hold:|Recent fall is present|Age is at least 70 years|"
            "Leg symptoms is present",
        ),
        (group(Group.NONE, FALL), "When it is not so that Recent fall is present."),
        (group(Group.NONE, group(Group.NONE, FALL)), "When Recent fall is present."),
        (
            group(Group.NONE, group(Group.ALL, FALL, OLD)),
            "When not both of these hold:|Recent fall is present|Age is at least 70 years",
        ),
        (
            group(Group.NONE, group(Group.ALL, FALL, OLD, LEGS)),
            "When not all of these hold:|Recent fall is present|Age is at least 70 years|"
            "Leg symptoms is present",
        ),
        (
            group(Group.NONE, group(Group.SOME, FALL, OLD, LEGS, at_least=2)),
            "When fewer than 2 of these 3 hold:|Recent fall is present|Age is at least 70 years|"
            "Leg symptoms is present",
        ),
        (
            group(Group.NONE, group(Group.ANY, FALL, OLD)),
            "When neither of these holds:|Recent fall is present|Age is at least 70 years",
        ),
        (
            group(Group.NONE, group(Group.NONE, FALL, OLD)),
            "When either of these holds:|Recent fall is present|Age is at least 70 years",
        ),
        (
            group(Group.ALL, OLD, group(Group.NONE, FALL)),
            "When both of these hold:|Age is at least 70 years|"
            "it is not so that Recent fall is present",
        ),
        (
            group(Group.NONE, FALL, OLD),
            "When neither of these holds:|Recent fall is present|Age is at least 70 years",
        ),
        (
            group(Group.NONE, FALL, OLD, LEGS),
            "When none of these holds:|Recent fall is present|Age is at least 70 years|"
            "Leg symptoms is present",
        ),
        (
            group(Group.ALL, FALL, group(Group.NONE, OLD, LEGS)),
            "When both of these hold:|Recent fall is present|neither of these holds:|"
            "Age is at least 70 years|Leg symptoms is present",
        ),
        # a group of one says no more than its member; denying one does
        (group(Group.ANY, group(Group.ALL, FALL)), "When Recent fall is present."),
        (
            group(Group.SOME, FALL, at_least=2),
            "When at least 2 of these 1 hold:|Recent fall is present",
        ),
    ],
)
def test_each_group(condition: Condition, shown: str) -> None:
    markup = sentence(terms(), condition)
    assert text(markup) == shown
    Page(markup)


def test_another_opening() -> None:
    assert text(sentence(terms(), FALL, "Asked only when")).startswith("Asked only when Recent")
