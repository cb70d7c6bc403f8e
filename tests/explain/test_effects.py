"""What a rule could do at most: itself and through every rule that reads what it concludes."""

from cds.explain.effects import Effect, Effects
from cds.rulebook.program import Program
from cds.vocabulary.model import CARE, URGENCIES
from tests.explain.seen import rule
from tests.support.tiny import tiny

BOOK = """
conclusions:
  first: {title: First, combine: flag, careful: more}
  second: {title: Second, combine: flag, careful: more}
"""


def effect(program: Program, name: str) -> Effect:
    number = next(i.number for i in program.instances if i.rule == name)
    return Effects(program).of(number)


def named(program: Program, found: Effect) -> dict[str, str]:
    return {program.slots[s].name: program.slots[s].values[v] for s, v in found.writes}


def test_own_writes() -> None:
    program = tiny(
        rule("does", "{finding: fall, is: yes}",
             "{care_today: with_precautions, referral: {to: clinic, urgency: urgent},"
             " limit: {mobilization: grade_2, home_flexion: barred}}", basis="precaution")
    )  # fmt: skip
    found = effect(program, "does")
    assert found.care == CARE.index("with_precautions")
    assert found.urgency == URGENCIES.index("urgent")
    assert found.lowest == 2
    assert named(program, found) == {
        "care_today": "with_precautions", "referral.clinic": "urgent",
        "limit.mobilization": "grade_2", "limit.home_flexion": "barred",
    }  # fmt: skip


def test_a_home_limit_is_no_hands_on_limit() -> None:
    program = tiny(
        rule("does", "{finding: fall, is: yes}", "{limit: {home_flexion: barred}}",
             basis="precaution")
    )  # fmt: skip
    assert effect(program, "does").lowest is None


def test_what_does_not_bear_on_care_has_no_effect() -> None:
    program = tiny(rule("steps", "{finding: fall, is: yes}", "{next_step: hold}"))
    assert effect(program, "steps") == Effect(0, 0, None, ())


def test_effects_go_through_every_reader() -> None:
    chain = (
        rule("one", "{finding: fall, is: yes}", "{first: true}")
        + rule("two", "{conclusion: first, holds: true}", "{second: true}")
        + rule("three", "{conclusion: second, holds: true}",
               "{referral: {to: hospital, urgency: emergency}, limit: {thrust: barred}}",
               basis="contraindication")
        + rule("apart", "{finding: numb, is: yes}", "{care_today: no_hands_on}")
    )  # fmt: skip
    program = tiny(chain, BOOK)
    for name in ("one", "two", "three"):
        found = effect(program, name)
        assert (found.care, found.urgency, found.lowest) == (0, URGENCIES.index("emergency"), 0)
    assert effect(program, "apart") == Effect(
        CARE.index("no_hands_on"), 0, None, effect(program, "apart").writes
    )


def test_the_strictest_of_several_writes_counts() -> None:
    """Limits count downward, everything else upward, in whatever order they are met."""
    for low, high in (("grade_1", "grade_3"), ("grade_3", "grade_1")):
        chain = (
            rule("one", "{finding: fall, is: yes}",
                 f"{{first: true, limit: {{mobilization: {low}}}, concern: {{fracture: some}}}}",
                 basis="precaution")
            + rule("two", "{conclusion: first, holds: true}",
                   f"{{limit: {{mobilization: {high}}}, concern: {{fracture: high}}}}",
                   basis="precaution")
        )  # fmt: skip
        program = tiny(chain, BOOK)
        assert named(program, effect(program, "one")) == {
            "limit.mobilization": "grade_1", "concern.fracture": "high",
        }  # fmt: skip


def test_a_level_does_not_reach_another_level_by_itself() -> None:
    program = tiny(
        rule("each", "{finding: segment.provocation, is: local}",
             "{segment.limit: {thrust: barred}}", for_each="segment", basis="precaution")
    )  # fmt: skip
    effects = Effects(program)
    for instance in program.instances:
        assert list(named(program, effects.of(instance.number))) == [
            f"limit.thrust@{instance.level}"
        ]
