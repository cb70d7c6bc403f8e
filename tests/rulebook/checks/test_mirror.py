from cds.rulebook.checks.mirror import mirror_problems
from cds.rulebook.compile import compile_book
from tests.rulebook.checks.books import book_with, rule

LEAN = """findings:
  lean: {ask: Lean, title: Lean, kind: choice, ordered: true, values: [left, none, right],
    mirror: {left: right, right: left}}
conclusions:
  tilted: {title: Tilted, combine: single, scope: both, values: [left, right], output: true}
  leaning: {title: Leaning, combine: flag, output: true}
rules:
"""


def told(text: str) -> list[str]:
    return [problem.message for problem in mirror_problems(compile_book(book_with(LEAN + text)))]


def test_the_base_is_its_own_mirror() -> None:
    assert mirror_problems(compile_book(book_with())) == []


def test_a_test_that_means_one_side() -> None:
    body = "    when: {finding: lean, is: left}\n    then: {leaning: true}"
    assert told(rule(body)) == ["rule `extra-rule` tests left and right differently"]
    assert told(rule(body + "\n    asymmetric: The heart is on the left.")) == []


def test_both_sides_named_are_symmetric() -> None:
    either = "{any: [{finding: lean, is: right}, {finding: lean, is: left}]}"
    assert told(rule(f"    when: {either}\n    then: {{leaning: true}}")) == []
    assert (
        told(rule("    when: {finding: lean, in: [right, left]}\n    then: {leaning: true}")) == []
    )


def test_an_order_from_left_to_right_has_another_mirror() -> None:
    body = "    when: {finding: lean, at_least: none}\n    then: {leaning: true}"
    assert told(rule(body)) == ["rule `extra-rule` tests left and right differently"]


def test_what_is_written_is_compared() -> None:
    each = '    for_each: side\n    when: {finding: lean, is: "{side}"}\n'
    assert told(rule(each + '    then: {tilted: "{side}"}')) == []
    assert told(rule(each + '    then: {tilted: "{other_side}"}')) == []
    assert told(rule(each + "    then: {tilted: left}")) == [
        "rule `extra-rule` writes left and right differently"
    ]


def test_what_is_read_is_compared() -> None:
    writer = rule(
        '    for_each: side\n    when: {finding: lean, is: "{side}"}\n    then: {tilted: "{side}"}',
        "a-rule",
    )
    each = '    for_each: side\n    when: {conclusion: tilted, is: "{side}"}\n'
    assert told(writer + rule(each + "    then: {leaning: true}")) == []
    one = "    when: {conclusion: tilted, is: left}\n    then: {leaning: true}"
    assert told(writer + rule(one)) == ["rule `extra-rule` tests left and right differently"]
    # who reads what an excused rule concludes is not accused in its place
    excused = rule(
        "    when: {finding: lean, is: left}\n    then: {leaning: true}\n    asymmetric: So it is.",
        "b-rule",
    )
    reader = rule("    when: {conclusion: leaning, holds: true}\n    then: {next_step: hold}")
    assert told(excused + reader) == []
