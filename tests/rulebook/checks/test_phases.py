import pytest

from cds.rulebook.checks.phases import check
from tests.rulebook.checks.books import codes, messages, rule

WORDS = "{segment.cautions: [mind-the-side]}"
FALL = '{finding: fall, is: "yes"}'


@pytest.mark.parametrize(
    ("phase", "when", "then", "wanted"),
    [
        ("judge", "{feature: path.hands_on, is: \"yes\"}", WORDS, ["judge-reads-path"]),
        ("judge", "{conclusion: limit.thrust, at_most: barred}", WORDS, ["judge-reads-path"]),
        ("judge", "{conclusion: segment.limit.thrust, at_most: barred}", WORDS,
         ["judge-reads-path"]),
        ("judge", "{conclusion: target, at_least: thrust}", WORDS, ["judge-reads-path"]),
        ("judge", "{conclusion: segment.indication.thrust, holds: true}", WORDS, []),
        ("judge", "{conclusion: care_today, at_least: no_hands_on}", WORDS, []),
        ("judge", "{conclusion: segment.cards, empty: true}", WORDS, ["judge-reads-prepared"]),
        ("judge", FALL, "{segment.exercises: [press-up]}", ["judge-writes-prepared"]),
        ("prepare", "{feature: path.hands_on, is: \"yes\"}", WORDS, []),
        ("prepare", "{conclusion: target, at_least: thrust}", WORDS, []),
        ("prepare", FALL, "{segment.exercises: [press-up]}", []),
        ("prepare", FALL, "{limit: {thrust: barred}}", ["prepare-refers-or-limits"]),
        ("prepare", FALL, "{segment.indication: {thrust: true}}", ["prepare-refers-or-limits"]),
        ("prepare", FALL, "{target: thrust}", ["prepare-refers-or-limits"]),
        ("prepare", FALL, "{irritable: true}", ["prepare-refers-or-limits"]),
        ("prepare", FALL, "{next_step: refer_back}", ["prepare-refers-or-limits"]),
        ("prepare", FALL, "{stage: late}", []),
    ],
)  # fmt: skip
def test_what_each_phase_may(phase: str, when: str, then: str, wanted: list[str]) -> None:
    body = f"    phase: {phase}\n    for_each: segment\n    when: {when}\n    then: {then}"
    assert codes(check, "rules:\n" + rule(body)) == wanted


def test_what_a_prepare_rule_writes_is_not_judged_by() -> None:
    text = "rules:\n" + rule(
        f"    phase: prepare\n    when: {FALL}\n    then: {{stage: late}}", "a-rule"
    ) + rule("    when: {conclusion: stage, is: early}\n    then: {next_step: hold}")  # fmt: skip
    assert messages(check, text) == [
        "judge rule `extra-rule` reads `stage`, which prepare rule `a-rule` writes"
    ]
