"""Several answers to one finding: which one counts."""

from __future__ import annotations

import pytest

from cds.vocabulary.values import (
    Amount,
    Choice,
    Missing,
)
from tests.vocabulary.sample import (
    THIS_SESSION,
    ago,
    choice,
    no,
    one,
    presence,
    standing,
    why,
    yes,
)


# ---------------------------------------------------------------- several answers
def test_the_worst_positive_stands_where_values_are_ordered() -> None:
    ordered = choice("it", "none", "mild", "severe", ordered=True, adverse=("mild", "severe"))
    several = [
        {"value": "severe", "observed": ago(9)},
        {"value": "mild", "observed": ago(2)},
        {"value": "none", "observed": ago(1)},
    ]
    assert one(ordered, several).values["it"] == Choice(("severe",))
    falling = choice("it", "severe", "mild", "none", ordered=True, adverse=("mild", "severe"))
    assert one(falling, several).values["it"] == Choice(("severe",))


def test_the_latest_positives_stand_where_they_are_not_ordered() -> None:
    several = [
        {"value": "retention", "observed": ago(9)},
        {"value": "hesitant", "observed": ago(2)},
    ]
    assert standing(answers={"bladder": several}).values["bladder"] == Choice(("hesitant",))
    several[0]["observed"] = ago(2)
    both = Choice(("hesitant", "retention"))
    assert standing(answers={"bladder": several}).values["bladder"] == both


def test_the_latest_negative_counts() -> None:
    words = choice("it", "a", "b", "c")
    later = {"value": "b", "observed": ago(2)}
    found = one(words, [{"value": "a", "observed": ago(3)}, later])
    assert found.values["it"] == Choice(("b",))
    found = one(words, [later, {"value": "c", "observed": ago(2)}])
    assert found.missing["it"] is Missing.CONFLICTING
    found = one(words, [later, {**later, "how": "examined"}])
    assert found.values["it"] == Choice(("b",))


@pytest.mark.parametrize(
    ("reason", "wanted"),
    [("declined", Missing.DECLINED), ("cannot_assess", Missing.CANNOT_ASSESS),
     ("not_asked", None), ("stale", None)],
)  # fmt: skip
def test_a_later_reason_for_missing_counts_unless_it_says_nothing(
    reason: str, wanted: Missing | None
) -> None:
    found = one(presence("it"), [no(ago(2)), {"missing": reason, "observed": ago(0)}])
    assert found.missing.get("it") is wanted
    found = one(presence("it"), {"missing": reason})
    assert found.missing["it"] is Missing(reason)
    found = one(presence("it"), [yes(ago(2)), {"missing": reason}])
    assert found.values["it"] == Choice(("yes",))


def test_a_partly_adverse_answer_expires_like_a_negative() -> None:
    perhaps = {"value": {"one_of": ["no", "yes"]}, "observed": ago(1)}
    assert why(one(presence("it", good_for=THIS_SESSION), perhaps)) == "expired"
    assert one(presence("it"), perhaps).values["it"] == Choice(("no", "yes"))


def test_numbers_expire_and_the_worse_of_one_day_counts() -> None:
    assert why(standing(answers={"pain": {"value": 9, "observed": ago(1)}}), "pain") == "expired"
    two = [{"value": 3}, {"value": 7}]
    assert standing(answers={"pain": two}).values["pain"] == Amount(7, 7)
    assert standing(answers={"t_score": [{"value": 1}, {"value": -2}]}).values["t_score"] == (
        Amount(-20, -20)
    )
    assert standing(answers={"falls": two}).missing["falls"] is Missing.CONFLICTING
    partly = [{"value": 3}, {"value": {"at_least": 2}}]
    assert standing(answers={"pain": partly}).missing["pain"] is Missing.CONFLICTING
