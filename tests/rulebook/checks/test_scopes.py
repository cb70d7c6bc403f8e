import pytest

from cds.rulebook.checks.scopes import check
from tests.rulebook.checks.books import codes, rule

FALL = '{finding: fall, is: "yes"}'


@pytest.mark.parametrize(
    ("each", "when", "then", "wanted"),
    [
        ("segment", "{conclusion: segment.provoked, holds: true}", "{next_step: hold}", []),
        ("side", "{conclusion: segment.provoked, holds: true}", "{next_step: hold}",
         ["segment-outside"]),
        ("segment", "{conclusion: provoked, holds: true}", "{next_step: hold}", ["wrong-scope"]),
        ("segment", "{conclusion: segment.irritable, holds: true}", "{next_step: hold}",
         ["wrong-scope"]),
        ("segment", FALL, "{provoked: true}", ["wrong-scope"]),
        ("segment", FALL, "{segment.irritable: true}", ["wrong-scope"]),
        ("segment", FALL, "{limit: {thrust: barred}, segment.limit: {thrust: barred}}", []),
        ("side", FALL, "{segment.limit: {thrust: barred}}", ["segment-outside"]),
        ("side", FALL, "{adjacent.limit: {thrust: barred}}", ["segment-outside"]),
        ("segment", '{finding: pain_side, is: "{other_side}"}', "{next_step: hold}",
         ["side-outside"]),
        ("[segment, side]", '{finding: pain_side, is: "{other_side}"}', "{next_step: hold}", []),
        ("segment", FALL, '{stage: "{side}"}', ["side-outside"]),
    ],
)  # fmt: skip
def test_places(each: str, when: str, then: str, wanted: list[str]) -> None:
    text = "rules:\n" + rule(f"    for_each: {each}\n    when: {when}\n    then: {then}")
    assert codes(check, text) == wanted


def test_a_finding_of_the_case_does_not_depend_on_a_level() -> None:
    text = """findings:
  {0}dizzy: {{ask: Dizzy, title: Dizzy, kind: presence,
    applies_when: {{finding: segment.provocation, is: local}}}}
"""
    assert codes(check, text.format("")) == ["segment-outside"]
    assert codes(check, text.format("segment.")) == []
