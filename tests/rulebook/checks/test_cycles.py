from cds.rulebook.checks.cycles import check
from tests.rulebook.checks.books import book_with, codes, messages, rule

CONCLUSIONS = """conclusions:
  ready: {title: Ready, combine: flag, output: true}
  uneasy: {title: Uneasy, combine: flag, scope: both, careful: more, output: true}
rules:
"""


def test_the_base_has_none() -> None:
    assert list(check(book_with())) == []


def test_the_circle_is_shown() -> None:
    first = "    when: {conclusion: uneasy, holds: true}\n    then: {ready: true}"
    second = "    when: {none: [{conclusion: ready, holds: true}]}\n    then: {uneasy: true}"
    text = CONCLUSIONS + rule(first, "a-rule") + rule(second, "b-rule")
    assert messages(check, text) == [
        "rules stand on each other: `a-rule` → `ready` → `b-rule` → `uneasy` → `a-rule`"
    ]


def test_a_rule_that_reads_what_it_writes() -> None:
    text = CONCLUSIONS + rule("    when: {conclusion: ready, holds: true}\n    then: {ready: true}")
    assert codes(check, text) == ["cycle"]


def test_what_is_held_counts_as_written() -> None:
    text = CONCLUSIONS + rule(
        "    when: {conclusion: uneasy, holds: true}\n    then: {ready: true, uneasy: true}\n"
        "    while_unknown: {uneasy: true}"
    )
    assert codes(check, text) == ["cycle"]


def test_a_level_and_the_whole_case_are_two_things() -> None:
    text = CONCLUSIONS + rule(
        "    for_each: segment\n    when: {conclusion: uneasy, holds: true}\n"
        "    then: {segment.uneasy: true}"
    )
    assert codes(check, text) == []


def test_another_key_is_another_thing() -> None:
    text = CONCLUSIONS + rule(
        "    when: {conclusion: concern.fracture, at_least: some}\n"
        "    then: {concern: {cauda_equina: some}}\n    while_unknown: nothing"
    )
    assert codes(check, text) == []
