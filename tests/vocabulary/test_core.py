"""The built-in conclusions as the contract between rule book and path fixes them."""

from __future__ import annotations

from cds.vocabulary.core import CORE_NAMES, NEXT_STEPS, core_conclusions
from cds.vocabulary.model import Careful, Combine, Family, Ladder, Rung, Scope

LADDER = Ladder(
    (Rung("no_treatment", "N"), Rung("exercise_only", "E"), Rung("thrust", "T")),
    (
        Family("thrust", "T", "hands_on", ("barred", "allowed"), (("thrust", "allowed"),)),
        Family("home_flexion", "F", "home", ("barred", "low", "allowed")),
    ),
)
CORE = core_conclusions(("a_clinic",), ("fracture",), LADDER, ("b", "a"), ("walk",), ("say",))


def test_names_in_order() -> None:
    assert tuple(CORE) == CORE_NAMES and all(name == c.name for name, c in CORE.items())


def test_scales_start_at_what_holds_otherwise() -> None:
    for name in ("care_today", "referral", "concern"):
        conclusion = CORE[name]
        assert conclusion.combine is Combine.WORST and conclusion.careful is Careful.MORE
        assert conclusion.otherwise == conclusion.values[0]
    assert CORE["referral"].keys == ("a_clinic",) and CORE["concern"].keys == ("fracture",)
    assert CORE["next_step"].otherwise == "continue" and CORE["next_step"].values == NEXT_STEPS


def test_limit_is_per_family() -> None:
    limit = CORE["limit"]
    assert limit.combine is Combine.LOWEST and limit.keys == ("thrust", "home_flexion")
    assert limit.values_of("home_flexion") == ("barred", "low", "allowed")
    assert limit.scopes == (Scope.CASE, Scope.SEGMENT)


def test_permissive_ones() -> None:
    target, indication = CORE["target"], CORE["indication"]
    assert (target.combine, target.otherwise) == (Combine.HIGHEST, "exercise_only")
    assert target.values == ("no_treatment", "exercise_only", "thrust")
    assert (indication.combine, indication.keys) == (Combine.FLAG, ("thrust",))
    assert indication.scopes == (Scope.SEGMENT,)
    assert target.careful is indication.careful is Careful.LESS


def test_sets_hold_sorted_ids_and_are_neutral() -> None:
    assert CORE["cards"].values == ("a", "b") and CORE["cards"].scopes == (Scope.SEGMENT,)
    prepared = {"cards", "exercises", "consent_points", "information"}
    assert {name for name, c in CORE.items() if c.prepare_only} == prepared
    said = {"cautions", "retest", "safety_net", "education"}
    for name in prepared | said:
        assert CORE[name].combine is Combine.SET and CORE[name].careful is Careful.NEUTRAL
    assert all(conclusion.output for conclusion in CORE.values())
