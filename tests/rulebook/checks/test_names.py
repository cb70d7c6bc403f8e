import pytest

from cds.rulebook.checks.names import check
from tests.rulebook.checks.books import book_with, rule

NOTED = "    then: {next_step: hold}"


@pytest.mark.parametrize(
    ("when", "message", "help"),
    [
        ('{finding: fal, is: "yes"}', "there is no finding `fal`", "did you mean `fall`?"),
        ("{finding: provocation, is: local}", "there is no finding `provocation`",
         "did you mean `segment.provocation`?"),
        ("{feature: ages, at_least: 70}", "there is no feature `ages`", "did you mean `age`?"),
        ("{finding: age, at_least: 70}", "`age` is a feature, not a finding",
         "write `feature: age`"),
        ('{feature: fall, is: "yes"}', "`fall` is a finding, not a feature",
         "write `finding: fall`"),
        ("{conclusion: iritable, holds: true}", "there is no conclusion `iritable`",
         "did you mean `irritable`?"),
        ("{conclusion: concern.fractur, at_least: some}", "there is no concern `fractur`",
         "did you mean `fracture`?"),
        ("{conclusion: referral.surgeon, at_least: urgent}", "there is no destination `surgeon`",
         None),
        ("{policy: earliest_session, at_least: 3}", "there is no policy choice `earliest_session`",
         None),
        ("{feature: session_number, at_least: {policy: earliest_thrust_sesion}}",
         "there is no policy choice `earliest_thrust_sesion`",
         "did you mean `earliest_thrust_session`?"),
        ("{conclusion: care_today.fracture, at_least: no_hands_on}",
         "`care_today` has no keys, so not `fracture`", None),
        ("{conclusion: concern, at_least: some}", "`concern` is read and written by key", None),
    ],
)  # fmt: skip
def test_in_a_test(when: str, message: str, help: str | None) -> None:
    (found,) = check(book_with("rules:\n" + rule(f"    when: {when}\n{NOTED}")))
    assert found.message == message
    assert found.place is not None and found.place.line == 6
    if help is not None:
        assert found.help == help


@pytest.mark.parametrize(
    ("then", "message"),
    [
        ("{irritabel: true}", "there is no conclusion `irritabel`"),
        ("{limit: {trust: barred}}", "there is no family `trust`"),
        ("{concern: {fractures: some}}", "there is no concern `fractures`"),
        ("{referral: {to: emergency, urgency: urgent}}", "there is no destination `emergency`"),
        ("{cautions: [mind-side]}", "there is no text `mind-side`"),
        ("{exercises: [press-ups]}", "there is no exercise `press-ups`"),
    ],
)
def test_in_a_write(then: str, message: str) -> None:
    book = book_with("rules:\n" + rule(f'    when: {{finding: fall, is: "yes"}}\n    then: {then}'))
    assert [problem.message for problem in check(book)] == [message]


def test_in_findings_blocks_cards_and_exercises() -> None:
    text = """findings:
  dizzy:
    {ask: Dizzy, title: Dizzy, kind: presence, block: headblock, voided_by: [fal],
     unchanged: {not_with: [feverish]}, good_for: {days: 3, with: {falls: this_session}},
     applies_when: {finding: fallen, is: "yes"}}
blocks:
  head_block: {ask: Head?, findings: [dizy]}
exercises:
  - {id: roll, title: Roll, loads: [position_side_lying], how: [Roll.], dose: Ten, stop: [Pain.]}
cards:
  - {id: card, title: Card, rungs: [mobilisation_1], pattern: any, position: Lying,
     positions: [position_lying], set_up: [Stand.], effort: Little, dose: {hold: Short},
     feel: Ease, stop: [Pain.]}
"""
    assert sorted(problem.message for problem in check(book_with(text))) == [
        "there is no block `headblock`",
        "there is no finding `dizy`",
        "there is no finding `fal`",
        "there is no finding `fallen`",
        "there is no finding `falls`",
        "there is no finding `feverish`",
        "there is no home family `position_side_lying`",
        "there is no position family `position_lying`",
        "there is no rung `mobilisation_1`",
    ]


def test_the_base_has_none() -> None:
    assert list(check(book_with())) == []
