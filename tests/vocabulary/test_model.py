"""Findings, ladder and names: whole steps, mirrored values, families and slots."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cds.vocabulary.model import (
    Combine,
    Conclusion,
    Family,
    Finding,
    Kind,
    Ladder,
    Rung,
    at_level,
    slot_name,
)
from cds.vocabulary.values import Amount, Choice

STEPS = ("1", "0.1", "0.5", "2.5", "0.25", "5")


def number(step: str) -> Finding:
    return Finding("x", Kind.NUMBER, "X?", "X", step=Decimal(step))


@given(st.sampled_from(STEPS), st.integers(-(10**6), 10**6))
def test_whole_steps_go_there_and_back(step: str, steps: int) -> None:
    finding = number(step)
    assert finding.steps(finding.number(steps)) == steps


@pytest.mark.parametrize(
    ("step", "text", "steps"),
    [("0.1", "-2.5", -25), ("0.1", "-2.50", -25), ("0.1", "-2.55", None), ("0.1", "0", 0),
     ("1", "3.5", None), ("2.5", "7.5", 3), ("2.5", "1", None), ("0.1", "1E+1", 100),
     ("0.1", "0.3", 3)],
)  # fmt: skip
def test_a_number_between_steps_is_none_of_them(step: str, text: str, steps: int | None) -> None:
    assert number(step).steps(Decimal(text)) == steps


@pytest.mark.parametrize("kind", list(Kind))
def test_words_and_amounts(kind: Kind) -> None:
    numeric = Finding("x", kind, "X?", "X").numeric
    assert numeric == (kind not in (Kind.PRESENCE, Kind.CHOICE))


SIDED = Finding(
    "side", Kind.CHOICE, "Side?", "Side", values=("left", "right", "both"),
    mirror=(("left", "right"), ("right", "left")),
)  # fmt: skip


def test_mirrored_values() -> None:
    assert SIDED.mirrored(Choice(("left",))) == Choice(("right",))
    assert SIDED.mirrored(Choice(("both",))) == Choice(("both",))
    assert SIDED.mirrored(Choice(("left", "both"))) == Choice(("right", "both"))
    value = Choice(("left", "right"))
    assert SIDED.mirrored(SIDED.mirrored(value)) == value


def test_without_a_mirror_nothing_is_exchanged() -> None:
    plain = Finding("word", Kind.CHOICE, "W?", "W", values=("left", "right"))
    assert plain.mirrored(Choice(("left",))) == Choice(("left",))
    assert SIDED.mirrored(Amount(1, 2)) == Amount(1, 2)


def test_values_of_a_key() -> None:
    limit = Conclusion(
        "limit", "Limit", Combine.LOWEST, values=("barred",),
        key_values=(("thrust", ("barred", "allowed")),),
    )  # fmt: skip
    assert limit.values_of("thrust") == ("barred", "allowed")
    assert limit.values_of("other") == limit.values_of(None) == ("barred",)


LADDER = Ladder(
    (Rung("rest", "Rest"), Rung("press", "Press"), Rung("push", "Push")),
    (
        Family("push", "Push", "hands_on", ("barred", "allowed"), (("push", "allowed"),)),
        Family("home", "Home", "home", ("barred", "allowed")),
        Family("press", "Press", "hands_on", ("barred", "allowed"), (("press", "allowed"),)),
    ),
)


def test_a_ladder_by_name_by_group_and_in_order() -> None:
    assert LADDER.rung_names == ("rest", "press", "push")
    assert LADDER.family("home").title == "Home"
    assert [family.name for family in LADDER.of_group("hands_on")] == ["push", "press"]
    assert LADDER.of_group("position") == ()
    with pytest.raises(KeyError):
        LADDER.family("rest")


def test_names_of_slots_and_levels() -> None:
    assert slot_name("care_today") == "care_today"
    assert slot_name("limit", "thrust") == "limit.thrust"
    assert slot_name("limit", "thrust", "L5") == "limit.thrust@L5"
    assert slot_name("target", None, "L5") == "target@L5"
    assert at_level("segment.provocation", "L5") == "segment.provocation@L5"
    assert at_level("fall", None) == "fall"
