"""The ladder resolver, rung by rung."""

import pytest

from cds.engine.path import Paths, Resolver, path_inputs
from cds.rulebook.program import Program
from cds.vocabulary.values import Input
from tests.support.tiny import no, read, tiny, word, yes

INDICATE = """
  - id: worth
    title: Worth treating
    for_each: segment
    when: {finding: segment.provocation, at_least: local}
    then: {segment.indication: {muscle_energy: true, mobilization: true, thrust: true}}
    because: Test.
    evidence: [{source: s-one}]
"""


def aim(rung: str) -> str:
    return f"""
  - id: aim
    title: Aim
    when: {{feature: moment, in: [before_session, during_session]}}
    then: {{target: {rung}}}
    because: Test.
    evidence: [{{source: s-one}}]
"""


def limit(writes: str, holds: str = "nothing", finding: str = "fall", each: str = "") -> str:
    return f"""
  - id: limit-{finding}
    title: Limit
    basis: contraindication
    {each}
    when: {{finding: {finding}, is: yes}}
    then: {writes}
    while_unknown: {holds}
    because: Test.
    evidence: [{{source: s-one}}]
"""


def resolve(program: Program, **values: Input) -> Paths:
    given: dict[str, Input] = {
        "moment": word("before_session"),
        "segment.provocation@L5": word("concordant"),
        "numb": no(),
        "fall": no(),
        **{name.replace("__", "."): value for name, value in values.items()},
    }
    return Resolver(program).paths(read(program, given, "L5"), ("L5",), given)


def steps(found: Paths, level: str = "L5") -> tuple[str, ...]:
    return found.now.paths[level].steps


def test_whole_ladder_up_to_the_target() -> None:
    found = resolve(tiny(INDICATE + aim("mobilization_2")))
    assert steps(found) == ("muscle_energy", "mobilization_1", "mobilization_2")
    assert found.now.start_at == "muscle_energy"
    assert found.now.up_to == "mobilization_2"


def test_thrust_is_the_last_step() -> None:
    assert steps(resolve(tiny(INDICATE + aim("thrust"))))[-2:] == ("mobilization_4", "thrust")


def test_no_indication_no_hands_on_rung() -> None:
    """Absence of bars is not an indication."""
    program = tiny(INDICATE + aim("thrust"))
    found = resolve(program, **{"segment.provocation@L5": word("none")})
    assert steps(found) == ()
    assert found.now.up_to == "exercise_only"
    assert found.treated == ()


def test_limits_cut_each_family_on_its_own() -> None:
    rules = INDICATE + aim("thrust") + limit("{limit: {muscle_energy: barred}}")
    assert steps(resolve(tiny(rules), fall=yes()))[0] == "mobilization_1"
    rules = INDICATE + aim("thrust") + limit("{limit: {muscle_energy: low_force}}")
    assert steps(resolve(tiny(rules), fall=yes()))[0] == "muscle_energy_low"


def test_a_limit_on_grade_iv_keeps_thrust_shut() -> None:
    rules = INDICATE + aim("thrust") + limit("{limit: {mobilization: grade_3}}")
    assert steps(resolve(tiny(rules), fall=yes()))[-1] == "mobilization_3"


def test_a_level_limit_holds_at_that_level_only() -> None:
    rules = (
        INDICATE
        + aim("thrust")
        + limit("{segment.limit: {mobilization: barred}}", each="for_each: segment")
    )
    assert steps(resolve(tiny(rules), fall=yes())) == ("muscle_energy",)


@pytest.mark.parametrize("urgency", ["urgent", "same_day", "emergency"])
def test_an_urgent_referral_caps_the_path(urgency: str) -> None:
    refer = limit(f"{{referral: {{to: hospital, urgency: {urgency}}}}}")
    found = resolve(tiny(INDICATE + aim("thrust") + refer), fall=yes())
    assert found.now.up_to == "no_treatment"
    assert found.now.capped


def test_a_routine_referral_does_not_cap() -> None:
    refer = limit("{referral: {to: clinic, urgency: routine}}")
    assert steps(resolve(tiny(INDICATE + aim("muscle_energy") + refer), fall=yes()))


def test_contact_and_after_session_have_no_path() -> None:
    program = tiny(INDICATE + aim("thrust"))
    for moment in ("contact", "after_session"):
        assert resolve(program, moment=word(moment)).now.up_to == "no_treatment"


def test_holds_count_now_and_not_in_the_fired_reading() -> None:
    rules = (
        INDICATE
        + aim("mobilization_4")
        + limit("{limit: {mobilization: barred}}", "{limit: {mobilization: grade_1}}")
    )
    program = tiny(rules)
    given: dict[str, Input] = {
        "moment": word("before_session"),
        "segment.provocation@L5": word("local"),
    }
    found = Resolver(program).paths(read(program, given, "L5"), ("L5",), given)
    assert steps(found)[-1] == "mobilization_1"
    assert found.fired.paths["L5"].steps[-1] == "mobilization_4"
    assert found.most.paths["L5"].steps == ("muscle_energy",)
    assert found.least.paths["L5"].steps[-1] == "mobilization_4"


def test_the_session_goes_on_from_the_last_rung() -> None:
    found = resolve(
        tiny(INDICATE + aim("mobilization_4")),
        moment=word("during_session"),
        today__last_rung=word("mobilization_2"),
    )
    assert steps(found) == ("mobilization_2", "mobilization_3", "mobilization_4")
    assert found.now.paths["L5"].step_down_to == (
        "muscle_energy_low", "muscle_energy", "mobilization_1", "mobilization_2",
    )  # fmt: skip


OWN = """
  - id: own-aim
    title: Own aim
    for_each: segment
    when: {finding: segment.provocation, is: concordant}
    then: {segment.target: thrust}
    because: Test.
    evidence: [{source: s-one}]
"""


def test_a_level_target_never_exceeds_the_case() -> None:
    assert steps(resolve(tiny(INDICATE + OWN + aim("mobilization_1"))))[-1] == "mobilization_1"
    assert steps(resolve(tiny(INDICATE + OWN)))[-1] == "thrust"


def test_a_target_that_fires_never_lowers_the_path() -> None:
    """A book that writes both: the case's target counts from when its rule fires, never before."""
    open_aim = aim("mobilization_1").replace(
        "{feature: moment, in: [before_session, during_session]}", "{finding: fall, is: yes}"
    )
    program = tiny(INDICATE + OWN + open_aim)
    given: dict[str, Input] = {
        "moment": word("before_session"),
        "segment.provocation@L5": word("concordant"),
    }

    def bounds(**more: Input) -> tuple[str, str, str]:
        inputs = {**given, **more}
        found = Resolver(program).paths(read(program, inputs, "L5"), ("L5",), inputs)
        return found.most.up_to, found.now.up_to, found.least.up_to

    assert bounds() == ("exercise_only", "exercise_only", "mobilization_1")
    assert bounds(fall=yes()) == ("mobilization_1",) * 3
    assert bounds(fall=no()) == ("exercise_only",) * 3


def test_the_bound_of_the_case_holds_whichever_levels_are_treated() -> None:
    """Three levels, two treated: the third reaches higher, and is not what is advised today."""
    program = tiny(
        INDICATE
        + aim("thrust")
        + """
  - id: less-where-it-hurts-most
    title: Limit
    basis: precaution
    for_each: segment
    when: {finding: segment.provocation, is: concordant}
    then: {segment.limit: {mobilization: grade_2, thrust: barred}}
    while_unknown: nothing
    because: Test.
    evidence: [{source: s-one}]
"""
    )
    levels = ("L3", "L4", "L5")
    given: dict[str, Input] = {"moment": word("before_session")}
    given |= {f"segment.provocation@{level}": word("concordant") for level in levels[:2]}
    given["segment.provocation@L5"] = word("local")
    found = Resolver(program).paths(read(program, given, *levels), levels, given)
    assert found.treated == ("L3", "L4")
    assert found.least.paths["L5"].up_to == "thrust"
    assert found.now.paths["L5"].up_to == "mobilization_4"  # not treated today, so no thrust
    ups = (found.most.up_to, found.now.up_to, found.least.up_to)
    assert ups == ("mobilization_2", "mobilization_2", "thrust")


def test_at_most_two_levels_are_treated() -> None:
    program = tiny(INDICATE + aim("muscle_energy"))
    levels = ("L3", "L4", "L5")
    given: dict[str, Input] = {"moment": word("before_session")}
    given |= {f"segment.provocation@{level}": word("concordant") for level in levels}
    found = Resolver(program).paths(read(program, given, *levels), levels, given)
    assert found.treated == ("L3", "L4")


def reach(levels: tuple[str, ...]) -> dict[str, tuple[str, str, str]]:
    """Careful bound, now and permissive bound of each level, all of them free to thrust."""
    program = tiny(INDICATE + aim("thrust"))
    given: dict[str, Input] = {"moment": word("before_session")}
    given |= {f"segment.provocation@{level}": word("concordant") for level in levels}
    found = Resolver(program).paths(read(program, given, *levels), levels, given)
    return {
        level: tuple(r.paths[level].up_to for r in (found.most, found.now, found.least))
        for level in levels
    }  # type: ignore[return-value]


def test_thrust_only_at_the_levels_treated_today() -> None:
    two = ("thrust",) * 3
    assert reach(("L4", "L5")) == {"L4": two, "L5": two}
    three = reach(("L3", "L4", "L5"))
    assert [bounds[1] for bounds in three.values()] == ["thrust", "thrust", "mobilization_4"]
    # an answer may bring the third level into today's two, so no level is sure of a thrust
    assert {bounds[0] for bounds in three.values()} == {"mobilization_4"}
    assert {bounds[2] for bounds in three.values()} == {"thrust"}


def test_thrust_in_the_region_of_the_first_level_only() -> None:
    assert [bounds[1] for bounds in reach(("L1", "T12")).values()] == ["thrust", "mobilization_4"]
    assert [bounds[1] for bounds in reach(("T12", "L1")).values()] == ["thrust", "mobilization_4"]
    assert [bounds[1] for bounds in reach(("T12", "T11")).values()] == ["thrust", "thrust"]


def test_path_inputs_say_what_was_resolved() -> None:
    found = resolve(tiny(INDICATE + aim("mobilization_1")))
    told = path_inputs(found.now, ("L5",))
    assert told["path.up_to"] == word("mobilization_1")
    assert told["path.hands_on"] == yes()
    assert told["segment.path_start_at@L5"] == word("muscle_energy")
