import pytest

from cds.rulebook.checks.single import check
from tests.rulebook.checks.books import codes, messages, rule

HEAD = """conclusions:
  shade: {title: Shade, combine: single, scope: both, values: [light, dark], output: true}
  lean: {title: Lean, combine: single, scope: both, values: [left, right], output: true}
rules:
"""


def pair(one: str, other: str, each: str = "", to: str = "shade") -> str:
    def body(when: str, value: str) -> str:
        return f"{each}    when: {when}\n    then: {{{to}: {value}}}"

    return HEAD + rule(body(one, "light"), "a-rule") + rule(body(other, "dark"), "b-rule")


YES, NO = '{finding: fall, is: "yes"}', '{finding: fall, is: "no"}'
POWER = "{finding: leg_power, at_least: 3}"
WEAK = "{finding: leg_power, less_than: 3}"


@pytest.mark.parametrize(
    ("one", "other", "problems"),
    [
        (YES, NO, 0),
        (YES, '{finding: fall, is_not: "yes"}', 0),
        (f"{{all: [{YES}, {POWER}]}}", f"{{all: [{YES}, {WEAK}]}}", 0),
        (POWER, WEAK, 0),
        (POWER, "{finding: leg_power, at_most: 3}", 1),
        ("{all: [{finding: leg_power, at_least: 1}, {finding: leg_power, at_most: 2}]}",
         "{finding: leg_power, more_than: 2}", 0),
        (YES, '{finding: leg_symptoms, is: "no"}', 1),
        # what is not at the top is not visible
        (f"{{any: [{YES}]}}", NO, 1),
        (f"{{none: [{NO}]}}", NO, 1),
        (f"{{all: [{{any: [{YES}, {POWER}]}}]}}", NO, 1),
    ],
)  # fmt: skip
def test_visibly_exclusive(one: str, other: str, problems: int) -> None:
    assert codes(check, pair(one, other)) == ["single-not-exclusive"] * problems


def test_two_levels_may_disagree_about_the_case() -> None:
    one, other = (
        "{finding: segment.provocation, is: none}",
        "{finding: segment.provocation, is: local}",
    )
    each = "    for_each: segment\n"
    assert codes(check, pair(one, other, each, "segment.shade")) == []
    assert codes(check, pair(one, other, each)) == ["single-not-exclusive"]


def test_one_rule_for_both_sides() -> None:
    each = "    for_each: side\n"
    tested = rule(
        f'{each}    when: {{finding: pain_side, is: "{{side}}"}}\n    then: {{lean: "{{side}}"}}'
    )
    assert codes(check, HEAD + tested) == []
    blind = rule(f'{each}    when: {YES}\n    then: {{lean: "{{side}}"}}')
    assert messages(check, HEAD + blind) == [
        "rule `extra-rule` may write both `left` and `right` to `lean`"
    ]


def test_the_same_value_never_conflicts() -> None:
    text = HEAD + rule(f"    when: {YES}\n    then: {{shade: dark}}", "a-rule") + rule(
        f"    when: {POWER}\n    then: {{shade: dark}}", "b-rule"
    )  # fmt: skip
    assert codes(check, text) == []
