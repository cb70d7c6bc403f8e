"""Care, referrals, concerns and the next step, as read off the slots."""

import pytest

from cds.explain.outcomes import (
    WITHIN,
    bars_all,
    care,
    concerns,
    next_step,
    referrals,
)
from cds.vocabulary.advice import Referral
from cds.vocabulary.model import URGENCIES
from tests.explain.seen import Seen, presences, rule, see
from tests.support.tiny import no, tiny, yes


def refer(name: str, finding: str, to: str, urgency: str, within: str = "", holds: str = "") -> str:
    more = f', within: "{within}"' if within else ""
    return rule(name, f"{{finding: {finding}, is: yes}}",
                f"{{referral: {{to: {to}, urgency: {urgency}{more}}}}}",
                holds or "nothing")  # fmt: skip


def found(seen: Seen) -> list[Referral]:
    return referrals(seen.program, seen.readings)


def test_care_without_any_rule_of_it_is_to_proceed() -> None:
    program = tiny(refer("sends", "fall", "clinic", "routine"))
    assert set(care(see(program).readings).values()) == {"proceed"}


def test_care_has_its_bounds_while_rules_are_open() -> None:
    rules = rule("wary", "{finding: fall, is: yes}", "{care_today: with_precautions}") + rule(
        "stops", "{finding: numb, is: yes}", "{care_today: no_hands_on}",
        "{care_today: with_precautions}",
    )  # fmt: skip
    assert care(see(tiny(rules)).readings) == {
        "now": "with_precautions", "most_careful": "no_hands_on", "least_careful": "proceed",
    }  # fmt: skip
    assert care(see(tiny(rules), {"fall": yes(), "numb": no()}).readings) == dict.fromkeys(
        ("now", "most_careful", "least_careful"), "with_precautions"
    )


@pytest.mark.parametrize("urgency", URGENCIES[1:])
def test_a_referral_without_its_own_time_has_the_usual_one(urgency: str) -> None:
    entry = found(see(tiny(refer("sends", "fall", "clinic", urgency)), {"fall": yes()}))[0]
    assert (entry["urgency"]["now"], entry["within"]) == (urgency, WITHIN[urgency])
    assert entry["within"]


def test_a_rule_s_own_time_is_kept_and_belongs_to_its_urgency() -> None:
    """The time of a lesser referral is not that of the one that holds."""
    lesser = refer("lesser", "fall", "clinic", "routine", "in a month")
    sends = lesser + refer("greater", "numb", "clinic", "urgent", "by Friday")
    assert found(see(tiny(sends), {"fall": yes(), "numb": no()}))[0]["within"] == "in a month"
    entry = found(see(tiny(sends), {"fall": yes(), "numb": yes()}))[0]
    assert (entry["urgency"]["now"], entry["within"]) == ("urgent", "by Friday")
    plain = tiny(lesser + refer("greater", "numb", "clinic", "urgent"))
    assert found(see(plain, {"fall": yes(), "numb": yes()}))[0]["within"] == WITHIN["urgent"]


def test_a_time_stays_with_its_destination() -> None:
    both = rule(
        "sends", "{finding: fall, is: yes}",
        "{referral: [{to: clinic, urgency: urgent}, "
        '{to: hospital, urgency: urgent, within: "by noon"}]}',
    )  # fmt: skip
    assert {r["to"]: r["within"] for r in found(see(tiny(both), {"fall": yes()}))} == {
        "clinic": WITHIN["urgent"], "hospital": "by noon",
    }  # fmt: skip


def test_held_only_until_a_rule_fires() -> None:
    holds = "{referral: {to: hospital, urgency: routine}}"
    program = tiny(refer("sends", "fall", "hospital", "emergency", holds=holds))
    entry = found(see(program))[0]
    assert entry["held_only"]
    assert entry["urgency"] == {
        "now": "routine", "most_careful": "emergency", "least_careful": "none",
    }  # fmt: skip
    assert entry["rules"] == ["sends"]
    entry = found(see(program, {"fall": yes()}))[0]
    assert not entry["held_only"]
    assert set(entry["urgency"].values()) == {"emergency"}
    assert found(see(program, {"fall": no()})) == []


def test_a_rule_that_fired_does_not_borrow_the_time_of_its_hold() -> None:
    holds = '{referral: {to: hospital, urgency: routine, within: "in a month"}}'
    program = tiny(refer("sends", "fall", "hospital", "emergency", holds=holds))
    assert found(see(program))[0]["within"] == "in a month"
    assert found(see(program, {"fall": yes()}))[0]["within"] == WITHIN["emergency"]


def test_the_most_urgent_referral_comes_first() -> None:
    sends = refer("one", "fall", "clinic", "routine") + refer("two", "numb", "hospital", "same_day")
    seen = see(tiny(sends), {"fall": yes(), "numb": yes()})
    assert [r["to"] for r in found(seen)] == ["hospital", "clinic"]
    assert found(seen)[0]["title"] == "A hospital"


def test_a_possible_concern_is_listed_and_an_excluded_one_is_not() -> None:
    program = tiny(rule("breaks", "{finding: fall, is: yes}", "{concern: {fracture: high}}"))
    entry = concerns(program, see(program).readings)[0]
    assert (entry["level"]["now"], entry["level"]["most_careful"]) == ("none", "high")
    assert entry["rules"] == []
    fired = concerns(program, see(program, {"fall": yes()}).readings)[0]
    assert (fired["condition"], fired["title"], fired["rules"]) == (
        "fracture", "Fracture", ["breaks"],
    )  # fmt: skip
    assert set(fired["level"].values()) == {"high"}
    assert concerns(program, see(program, {"fall": no()}).readings) == []


def test_all_care_is_barred_by_care_itself_or_by_every_family_together() -> None:
    care_rule = rule("stops", "{finding: fall, is: yes}", "{care_today: no_hands_on}")
    every = rule("every", "{finding: numb, is: yes}", "{limit: {hands_on: barred}}",
                 "{limit: {hands_on: barred}}", basis="contraindication")  # fmt: skip
    program = tiny(care_rule + every)
    for name, title in (("fall", "stops"), ("numb", "every")):
        said = bars_all(program, see(program, {name: yes()}).readings)
        assert said == {"bars_all": True, "bar_titles": [title]}
    # held is not fired
    assert not bars_all(program, see(program).readings)["bars_all"]


def test_precautions_or_some_families_do_not_bar_all_care() -> None:
    program = tiny(
        rule("wary", "{finding: fall, is: yes}",
             "{care_today: with_precautions, limit: {thrust: barred, mobilization: barred, "
             "muscle_energy: low_force}}", basis="precaution")
    )  # fmt: skip
    assert bars_all(program, see(program, {"fall": yes()}).readings) == {
        "bars_all": False, "bar_titles": [],
    }  # fmt: skip


def test_several_rules_may_bar_all_families_between_them() -> None:
    split = "".join(
        rule(f"bars-{family.replace('_', '-')}", f"{{finding: {name}, is: yes}}",
             f"{{limit: {{{family}: barred}}}}", basis="precaution")
        for family, name in (("thrust", "fall"), ("mobilization", "numb"), ("muscle_energy", "ill"))
    )  # fmt: skip
    program = tiny(split, presences("ill"))
    two = {"fall": yes(), "numb": yes()}
    assert not bars_all(program, see(program, {**two}).readings)["bars_all"]
    said = bars_all(program, see(program, {**two, "ill": yes()}).readings)
    assert said["bars_all"] and len(said["bar_titles"]) == 3


def test_the_next_step_names_the_rules_of_that_step_only() -> None:
    rules = rule("on", "{finding: fall, is: no}", "{next_step: progress}") + rule(
        "stop", "{finding: numb, is: yes}", "{next_step: refer_back}"
    )
    program = tiny(rules)
    assert next_step(program, see(program, {"fall": no(), "numb": no()}).readings, "settled") == {
        "step": "progress", "rules": ["on"],
    }  # fmt: skip
    assert next_step(program, see(program, {"fall": no(), "numb": yes()}).readings, "settled") == {
        "step": "refer_back", "rules": ["stop"],
    }  # fmt: skip
    assert next_step(program, see(program).readings, "settled") == {"step": "continue", "rules": []}


@pytest.mark.parametrize("forward", ["progress", "discharge"])
def test_a_step_forward_waits_for_what_is_open(forward: str) -> None:
    program = tiny(rule("on", "{finding: fall, is: no}", f"{{next_step: {forward}}}"))
    readings = see(program, {"fall": no()}).readings
    settled = {"step": forward, "rules": ["on"]}
    assert next_step(program, readings, "settled") == settled
    waiting = {"step": "continue", "rules": [], "once_answered": forward}
    assert next_step(program, readings, "ask_first") == waiting
    assert next_step(program, readings, "stopped") == {"step": "hold", "rules": []}


@pytest.mark.parametrize("status", ["settled", "ask_first", "stopped"])
def test_a_careful_step_stands_whatever_is_open(status: str) -> None:
    program = tiny(rule("back", "{finding: fall, is: no}", "{next_step: refer_back}"))
    readings = see(program, {"fall": no()}).readings
    assert next_step(program, readings, status) == {"step": "refer_back", "rules": ["back"]}


def test_a_book_without_a_next_step_continues() -> None:
    program = tiny(refer("sends", "fall", "clinic", "routine"))
    assert next_step(program, see(program).readings, "settled") == {"step": "continue", "rules": []}
