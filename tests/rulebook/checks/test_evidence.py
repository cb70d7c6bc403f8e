import pytest

from cds.rulebook.checks.evidence import check
from tests.rulebook.checks.books import codes, messages, rule

WHEN = '    when: {finding: fall, is: "yes"}\n'


@pytest.mark.parametrize(
    ("say", "evidence", "wanted"),
    [
        ("Rest for 20 minutes.", "", ["missing-evidence"]),
        ("Rest for 20 minutes.", ", evidence: [{common_practice: rest}]", []),
        ("Rest for a while.", "", []),
        ("Rest for a while.", ", evidence: [{source: made-up-2021}]", ["unknown-source"]),
    ],
)
def test_a_text_owes_evidence_for_its_numbers(say: str, evidence: str, wanted: list[str]) -> None:
    assert codes(check, f"texts:\n  rest: {{say: {say}{evidence}}}\n") == wanted


def test_a_policy_choice_owes_evidence() -> None:
    text = "policy:\n  first: {title: First, value: 1, range: [1, 12], reason: Made up.}\n"
    assert messages(check, text) == ["policy choice `first` names no evidence"]


def test_cards_and_exercises_owe_it_too() -> None:
    text = "exercises:\n  - {id: roll, title: Roll, loads: [home_extension], how: [Roll.],\n"
    text += "     dose: Often, stop: [Pain.]}\n"
    assert messages(check, text) == ["exercise `roll` names no evidence"]


def test_a_limit_that_is_only_held_owes_a_basis_as_well() -> None:
    held = f"{WHEN}    then: {{limit: {{thrust: barred}}}}\n    while_unknown: nothing"
    assert codes(check, "rules:\n" + rule(held)) == ["missing-basis"]
    assert codes(check, "rules:\n" + rule(f"{WHEN}    then: {{care_today: no_hands_on}}")) == []


def test_the_review_comes_after_the_approval() -> None:
    late = rule(f"{WHEN}    then: {{next_step: hold}}\n    approved: 2027-11-01")
    assert codes(check, "rules:\n" + late) == ["review-before-approval"]
    before = rule(f"{WHEN}    then: {{next_step: hold}}\n    approved: 2027-10-31")
    assert codes(check, "rules:\n" + before) == []
