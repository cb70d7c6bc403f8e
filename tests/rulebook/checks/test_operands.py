import pytest

from cds.rulebook.checks.operands import check
from tests.rulebook.checks.books import book_with, codes, rule


@pytest.mark.parametrize(
    ("when", "wanted"),
    [
        ('{finding: fall, is: "yes"}', []),
        ('{finding: fall, at_least: "yes"}', ["wrong-operator"]),
        ("{finding: saddle_sensation, at_most: normal}", ["wrong-operator"]),
        ("{finding: saddle_sensation, known: true}", []),
        ("{finding: saddle_sensation, in: [normal, altered]}", ["decides-nothing"]),
        ("{finding: segment.provocation, at_least: local}", []),
        ("{finding: segment.provocation, at_least: none}", ["decides-nothing"]),
        ("{finding: segment.provocation, more_than: concordant}", ["decides-nothing"]),
        ("{finding: segment.provocation, is: locl}", ["unknown-value"]),
        ("{finding: leg_power, is: 3}", ["wrong-operator"]),
        ("{finding: leg_power, at_most: 3}", []),
        ("{finding: leg_power, at_most: 2.5}", ["not-whole-step"]),
        ("{finding: leg_power, at_most: weak}", ["wrong-operand"]),
        ("{finding: leg_power, at_most: -1}", ["out-of-range"]),
        ("{finding: leg_power, less_than: 0}", ["decides-nothing"]),
        ("{finding: leg_power, at_most: 0}", []),
        ("{finding: temperature, more_than: 38.5}", []),
        ("{finding: temperature, more_than: 38.55}", ["not-whole-step"]),
        ("{feature: session_number, at_least: {policy: earliest_thrust_session}}", []),
        ("{policy: earliest_thrust_session, at_least: 5}", []),
        ("{policy: earliest_thrust_session, is: 5}", ["wrong-operator"]),
        ("{policy: earliest_thrust_session, at_least: 13}", ["out-of-range"]),
        ("{policy: earliest_thrust_session, at_least: 2.5}", ["not-whole-step"]),
        ("{policy: earliest_thrust_session, at_least: five}", ["wrong-operand"]),
        ("{conclusion: care_today, at_least: no_hands_on}", []),
        ("{conclusion: care_today, is: no_hands_on}", ["scale-operator"]),
        ("{conclusion: care_today, in: [no_hands_on]}", ["scale-operator"]),
        ("{conclusion: care_today, is_not: proceed}", ["scale-operator"]),
        ("{conclusion: care_today, holds: true}", ["wrong-operator"]),
        ("{conclusion: care_today, at_least: stop}", ["unknown-value"]),
        ("{conclusion: care_today, at_least: proceed}", ["decides-nothing"]),
        ('{conclusion: irritable, is: "yes"}', ["wrong-operator"]),
        ("{conclusion: cautions, has: mind-the-side}", []),
        ("{conclusion: cautions, has_any_of: [mind-side]}", ["unknown-value"]),
        ("{conclusion: cautions, empty: true}", []),
        ("{conclusion: cautions, is: mind-the-side}", ["wrong-operator"]),
        ("{conclusion: stage, is: early}", []),
        ("{conclusion: stage, at_least: early}", ["wrong-operator"]),
        ("{conclusion: stage, in: [early, soon]}", ["unknown-value"]),
    ],
)
def test_tests(when: str, wanted: list[str]) -> None:
    text = "rules:\n" + rule(
        f"    for_each: segment\n    when: {when}\n    then: {{next_step: hold}}"
    )
    assert codes(check, text) == wanted


@pytest.mark.parametrize(
    ("then", "wanted"),
    [
        ("{care_today: no_hands_on}", []),
        ("{care_today: stop}", ["unknown-value"]),
        ("{limit: {mobilization: grade_2}}", []),
        ("{limit: {thrust: grade_2}}", ["unknown-value"]),
        ("{target: mobilization_2}", []),
        ("{target: mobilisation_2}", ["unknown-value"]),
        ("{stage: soon}", ["unknown-value"]),
        ("{next_step: wait}", ["unknown-value"]),
    ],
)
def test_writes(then: str, wanted: list[str]) -> None:
    text = "rules:\n" + rule(f'    when: {{finding: fall, is: "yes"}}\n    then: {then}')
    assert codes(check, text) == wanted


def test_the_nearest_value_is_named() -> None:
    text = "rules:\n" + rule(
        "    when: {finding: saddle_sensation, is: altred}\n    then: {next_step: hold}"
    )
    (problem,) = check(book_with(text))
    assert problem.message == "`saddle_sensation` has no value `altred`"
    assert problem.help == "did you mean `altered`?"
