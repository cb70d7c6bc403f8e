import pytest

from cds.rulebook.checks.sides import check, mirrored_word
from tests.rulebook.checks.books import codes, messages, rule

FALL = '{finding: fall, is: "yes"}'


def test_mirrored_words() -> None:
    assert mirrored_word("right_cannot_close") == "left_cannot_close"
    assert mirrored_word("segment.side_bending_left@L5") == "segment.side_bending_right@L5"
    assert mirrored_word("upright") == "upright"
    assert mirrored_word("leftover") == "leftover"


@pytest.mark.parametrize(
    ("body", "problems"),
    [
        ("    when: {finding: pain_side, is: left}\n    then: {next_step: hold}", 1),
        ("    when: {finding: pain_side, in: [left, both]}\n    then: {next_step: hold}", 1),
        ("    when: {finding: pain_side, in: [left, right]}\n    then: {next_step: hold}", 0),
        ("    when: {finding: pain_side, is: both}\n    then: {next_step: hold}", 0),
        ("    when: {feature: segment.flexed_side, is_not: right}\n    then: {next_step: hold}\n"
         "    for_each: segment", 1),
        ("    when: {finding: pain_side, is: left}\n    then: {next_step: hold}\n"
         "    asymmetric: So it is.", 0),
        (f"    when: {FALL}\n    then: {{lean: left}}", 1),
        ("    for_each: side\n    when: {finding: pain_side, is: \"{side}\"}\n"
         "    then: {lean: \"{side}\"}", 0),
    ],
)  # fmt: skip
def test_in_rules(body: str, problems: int) -> None:
    text = "conclusions:\n  lean: {title: Lean, combine: single, values: [left, right]}\nrules:\n"
    assert codes(check, text + rule(body)) == ["sided-literal"] * problems


@pytest.mark.parametrize(
    ("say", "problems"),
    [
        ("Lie on the left.", 1),
        ("Lie on the Right side.", 1),
        ("Lie on the {side}.", 0),
        ("Stand upright, use what is leftover.", 0),
    ],
)
def test_in_texts(say: str, problems: int) -> None:
    assert codes(check, f'texts:\n  extra: {{say: "{say}"}}\n') == ["sided-literal"] * problems


def test_in_the_words_of_a_rule() -> None:
    text = "rules:\n" + rule(
        f"    topic: small\n    when: {FALL}\n    then: {{next_step: hold}}\n"
    ).replace("Extra rule", "Pain on the left")
    assert messages(check, text) == ["rule `extra-rule` says `left`"]


def test_a_name_with_a_side_needs_its_pair() -> None:
    one = "  bend_left: {ask: Bend, title: Bend, kind: presence}\n"
    other = "  bend_right: {ask: Bend, title: Bend, kind: presence}\n"
    assert codes(check, "findings:\n" + one) == ["mirror-incomplete"]
    assert codes(check, "findings:\n" + one + other) == []
    reader = rule('    when: {finding: bend_left, is: "yes"}\n    then: {next_step: hold}')
    assert codes(check, f"findings:\n{one}{other}rules:\n{reader}") == ["sided-literal"]


def test_a_conclusion_with_one_side_only() -> None:
    text = "conclusions:\n  lean: {title: Lean, combine: single, values: [left, none]}\n"
    assert messages(check, text) == ["`lean` has `left` without `right`"]
