import pytest

from cds.rulebook.checks.holds import check
from tests.rulebook.checks.books import codes, messages, rule

WHEN = '    basis: precaution\n    when: {finding: fall, is: "yes"}\n'


@pytest.mark.parametrize(
    ("then", "hold", "wanted"),
    [
        ("{limit: {mobilization: grade_2}}", "{limit: {mobilization: grade_2}}", []),
        ("{limit: {mobilization: grade_2}}", "{limit: {mobilization: grade_4}}", []),
        ("{limit: {mobilization: grade_2}}", "{limit: {mobilization: barred}}", ["hold-stricter"]),
        ("{limit: {hands_on: barred}}", "{limit: {thrust: barred}}", []),
        ("{limit: {thrust: barred}}", "{limit: {hands_on: barred}}", ["hold-not-written"] * 2),
        ("{care_today: with_precautions}", "{care_today: no_hands_on}", ["hold-stricter"]),
        ("{care_today: no_hands_on}", "{care_today: with_precautions}", []),
        ("{referral: {to: general_practice, urgency: urgent}}",
         "{referral: {to: general_practice, urgency: routine}}", []),
        ("{referral: {to: general_practice, urgency: urgent}}",
         "{referral: {to: emergency_department, urgency: routine}}", ["hold-not-written"]),
        ("{irritable: true}", "{irritable: true}", ["hold-not-careful"]),
        ("{stage: early}", "{stage: early}", ["hold-not-careful"]),
        ("{target: thrust}", "{target: thrust}", ["hold-not-careful"]),
    ],
)  # fmt: skip
def test_a_hold_is_part_of_what_is_concluded(then: str, hold: str, wanted: list[str]) -> None:
    text = "rules:\n" + rule(f"{WHEN}    then: {then}\n    while_unknown: {hold}")
    assert codes(check, text) == wanted


def test_this_level_and_its_neighbours_are_told_apart() -> None:
    text = "rules:\n" + rule(
        f"    for_each: segment\n{WHEN}    then: {{segment.limit: {{thrust: barred}}}}\n"
        "    while_unknown: {adjacent.limit: {thrust: barred}}"
    )
    assert codes(check, text) == ["hold-not-written"]


def test_a_single_conclusion_is_never_held() -> None:
    text = "conclusions:\n  shade:\n    {title: Shade, combine: single, careful: more,"
    text += " values: [light, dark], output: true}\nrules:\n"
    text += rule(f"{WHEN}    then: {{shade: dark}}\n    while_unknown: {{shade: dark}}")
    assert messages(check, text) == [
        "rule `extra-rule` holds `shade`, which is a single conclusion"
    ]


@pytest.mark.parametrize(
    "then",
    [
        "{limit: {thrust: barred}}",
        "{care_today: no_hands_on}",
        "{concern: {fracture: some}}",
        "{referral: {to: general_practice, urgency: routine}}",
    ],
)
def test_owed_by_whatever_limits_or_refers(then: str) -> None:
    assert codes(check, "rules:\n" + rule(f"{WHEN}    then: {then}")) == ["missing-hold"]
    said = rule(f"{WHEN}    then: {then}\n    while_unknown: nothing")
    assert codes(check, "rules:\n" + said) == []


def test_not_owed_by_others() -> None:
    assert codes(check, "rules:\n" + rule(f"{WHEN}    then: {{irritable: true}}")) == []
