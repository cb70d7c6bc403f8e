"""What no answer can change: no answer changes it."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from cds.vocabulary.model import CARE, URGENCIES
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Choice
from cds.whatif.asks import asks
from cds.whatif.look import look
from cds.whatif.replies import Reply, told
from cds.whatif.unmoved import unmoved
from tests.whatif.cases import data, fixture, random_books, shipped


def test_no_answer_changes_what_stays() -> None:
    rng, checked = Random(2), 0
    for decider, case in random_books(41, books=40, cases=3):
        stays = unmoved(decider, case)
        here = look(decider, case)
        for _ in range(4):
            answerable = [ask for ask in asks(decider, here) if ask.can]
            if not answerable or stays["may_lapse"]:
                break
            option = rng.choice(rng.choice(answerable).options)
            here = look(decider, told(decider.vocabulary, here.case, option.said))
            assert here.paths.now.care >= CARE.index(stays["care_at_least"])
            now = {r["to"]: URGENCIES.index(r["urgency"]["now"]) for r in here.referrals}
            for referral in stays["referrals"]:
                assert now[referral["to"]] >= URGENCIES.index(referral["urgency"])
            for entry in stays["shut"]:
                assert entry["rung"] not in here.paths.now.paths[entry["level"]].steps
            checked += 1
    assert checked > 60


def test_a_fired_limit_is_named_and_a_held_one_is_not() -> None:
    found = unmoved(shipped(), fixture("clinic-1-acute-pattern"))
    thrust = [entry for entry in found["shut"] if entry["rung"] == "thrust"]
    assert thrust
    rules = {rule for entry in thrust for rule in entry["rules"]}
    fired = look(shipped(), fixture("clinic-1-acute-pattern")).readings.outcome.fired
    assert rules <= {shipped().program.instances[n].rule for n in fired}
    assert all(entry["kind"] != "held" for entry in found["shut"])
    assert "conservative" in found["note"]


def test_an_older_answer_that_a_new_one_may_void_is_named() -> None:
    raw = data("screen-blocks-not-asked")
    older = date.fromisoformat(raw["as_of"]) - timedelta(days=5)
    raw["answers"]["irritability"] = {"value": "low", "observed": older.isoformat()}
    case = read_case(shipped().vocabulary, raw)
    assert "irritability" in unmoved(shipped(), case)["may_lapse"]
    # the very answer that would: a new injury since
    told_now = told(
        shipped().vocabulary, case, [Reply("new_trauma", None, Choice(("minor_fall",)))]
    )
    assert "irritability" in look(shipped(), told_now).standing.missing
