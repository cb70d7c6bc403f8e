import pytest

from cds.rulebook.checks.unused import check
from tests.rulebook.checks.books import book_with, messages, rule

DIZZY = "  dizzy: {ask: Dizzy, title: Dizzy, kind: presence}\n"
FALL = '{finding: fall, is: "yes"}'
HOLD = "    then: {next_step: hold}"


def test_the_base_uses_everything() -> None:
    assert list(check(book_with())) == []


@pytest.mark.parametrize(
    "other",
    [
        "voided_by: [dizzy]",
        "unchanged: {not_with: [dizzy]}",
        "good_for: {days: 3, with: {dizzy: this_session}}",
        'applies_when: {finding: dizzy, is: "yes"}',
    ],
)
def test_a_finding_may_be_used_by_another(other: str) -> None:
    giddy = f"  giddy: {{ask: Giddy, title: Giddy, kind: presence, {other}}}\n"
    assert messages(check, "findings:\n" + DIZZY) == ["nothing reads `dizzy`"]
    assert messages(check, "findings:\n" + DIZZY + giddy) == ["nothing reads `giddy`"]


def test_a_finding_may_be_used_by_a_feature() -> None:
    power = "  power: {ask: Power, title: Power, kind: presence}\n"
    assert "power" in book_with().features["neuro_exam_today"].reads
    assert messages(check, "findings:\n" + power) == []


def test_what_is_read_must_be_written() -> None:
    head = "conclusions:\n  noted: {title: Noted, combine: flag, keys: [one, two], output: true}\n"
    writer = rule(f"    when: {FALL}\n    then: {{noted: {{one: true}}}}", "a-rule")
    reader = rule("    when: {conclusion: noted.two, holds: true}\n" + HOLD)
    text = f"{head}rules:\n{writer}{reader}"
    assert messages(check, text) == ["no rule writes `noted.two`"]
    assert messages(check, text.replace("noted.two", "noted.one")) == []


def test_a_value_of_a_single_conclusion_that_no_rule_writes() -> None:
    text = (
        "conclusions:\n  shade: {title: Shade, combine: single, values: [light, dark]}\nrules:\n"
        + rule(f"    when: {FALL}\n    then: {{shade: dark}}", "a-rule")
        + rule("    when: {conclusion: shade, is: light}\n" + HOLD)
    )
    assert messages(check, text) == ["no rule writes `light` to `shade`"]


def test_a_limit_stands_where_no_rule_writes_it() -> None:
    text = "rules:\n" + rule(
        "    phase: prepare\n    when: {conclusion: limit.mobilization, at_least: grade_2}\n"
        "    then: {cautions: [mind-the-side]}"
    )
    assert messages(check, text) == []


def test_policy_read_by_the_resolver_is_used() -> None:
    text = """policy:
  {}:
    {{title: Gentle, value: either, values: [either, first], reason: Made up.,
     evidence: [{{common_practice: made up}}]}}
"""
    assert messages(check, text.format("gentle_first")) == []
    assert messages(check, text.format("gentle_last")) == ["nothing reads policy `gentle_last`"]
