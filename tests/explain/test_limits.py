"""Limits with their holders: contraindication, policy and others apart; what binds."""

from typing import Any

import pytest

from cds.explain.limits import limits, scale
from cds.vocabulary.values import Input
from tests.explain.seen import Seen, rule, see
from tests.support.tiny import no, tiny, word, yes


def only(seen: Seen) -> dict[str, Any]:
    found = limits(seen.program, seen.readings, seen.levels)
    assert len(found) == 1, found
    return dict(found[0])


def bars(name: str, basis: str, finding: str = "fall", value: str = "grade_2",
         holds: str = "nothing") -> str:  # fmt: skip
    return rule(name, f"{{finding: {finding}, is: yes}}",
                f"{{limit: {{mobilization: {value}}}}}", holds, basis=basis)  # fmt: skip


@pytest.mark.parametrize(
    ("basis", "where"),
    [
        ("contraindication", "contraindications"), ("precaution", "contraindications"),
        ("policy", "policy"), ("screening", "others"), ("consent", "others"),
        ("training", "others"), ("response", "others"),
    ],
)  # fmt: skip
def test_each_basis_stands_under_its_own_heading(basis: str, where: str) -> None:
    """Local policy is never called a contraindication, nor the reverse."""
    found = only(see(tiny(bars("lowers", basis)), {"fall": yes()}))
    for heading in ("contraindications", "policy", "others"):
        rules = [holder["rule"] for holder in found[heading]]
        assert rules == (["lowers"] if heading == where else [])
    assert found[where][0]["basis"] == basis


def test_nothing_said_is_not_listed() -> None:
    program = tiny(bars("lowers", "precaution"))
    assert limits(program, see(program, {"fall": no()}).readings, ()) == []
    # open, but holding nothing: there is no limit now
    assert limits(program, see(program).readings, ()) == []


def test_fired_and_held_are_told_apart_and_the_binding_one_is_marked() -> None:
    rules = bars("fired-high", "precaution", value="grade_3") + bars(
        "held-low", "policy", "numb", "barred", "{limit: {mobilization: grade_1}}"
    )
    found = only(see(tiny(rules), {"fall": yes()}))
    assert found["most"] == {
        "now": "grade_1", "most_careful": "barred", "least_careful": "grade_3",
    }  # fmt: skip
    fired, held = found["contraindications"][0], found["policy"][0]
    assert (fired["status"], fired["value"], fired["binding"]) == ("fired", "grade_3", False)
    assert (held["status"], held["value"], held["binding"]) == ("held", "grade_1", True)


def test_case_first_then_levels_families_as_declared() -> None:
    rules = (
        rule("each", "{finding: segment.provocation, is: local}",
             "{segment.limit: {thrust: barred, muscle_energy: low_force}}",
             for_each="segment", basis="response")
        + rule("whole", "{finding: fall, is: yes}",
               "{limit: {position_prone: barred, mobilization: barred}}", basis="precaution")
    )  # fmt: skip
    values: dict[str, Input] = {
        "fall": yes(),
        "segment.provocation@L5": word("local"),
        "segment.provocation@L3": word("local"),
        "segment.provocation@L4": word("none"),
    }
    seen = see(tiny(rules), values, "L5", "L4", "L3")
    found = limits(seen.program, seen.readings, seen.levels)
    assert [(entry.get("level"), entry["family"]) for entry in found] == [
        (None, "mobilization"), (None, "position_prone"),
        ("L5", "muscle_energy"), ("L5", "thrust"), ("L3", "muscle_energy"), ("L3", "thrust"),
    ]  # fmt: skip
    assert [entry["group"] for entry in found[:2]] == ["hands_on", "position"]


def test_sides_are_written_into_a_holder_s_title_and_one_rule_counts_once_for_each_title() -> None:
    sided = (
        'findings:\n  side: {ask: "Side?", title: Side, kind: choice, '
        "values: [left, right, both], mirror: {left: right, right: left}}\n"
    )
    rules = rule("sore", '{finding: side, in: ["{side}", both]}', "{limit: {thrust: barred}}",
                 for_each="side", basis="precaution", title="Sore on the {side}")  # fmt: skip
    found = only(see(tiny(rules, sided), {"side": word("both")}))
    assert [h["title"] for h in found["contraindications"]] == [
        "Sore on the left", "Sore on the right",
    ]  # fmt: skip
    plain = rules.replace("Sore on the {side}", "Sore on a side")
    found = only(see(tiny(plain, sided), {"side": word("both")}))
    assert [h["title"] for h in found["contraindications"]] == ["Sore on a side"]


def test_a_scale_reads_the_words_of_its_slot() -> None:
    seen = see(tiny(bars("lowers", "precaution")))
    slot = seen.readings.slot("limit", "mobilization")
    assert slot is not None
    assert scale(seen.readings, slot) == {
        "now": "grade_4", "most_careful": "grade_2", "least_careful": "grade_4",
    }  # fmt: skip
