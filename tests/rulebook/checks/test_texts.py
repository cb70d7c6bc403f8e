import pytest

from cds.rulebook.checks.texts import card_texts, check, exercise_texts
from tests.rulebook.checks.books import book_with, codes, rule

FALL = '{finding: fall, is: "yes"}'


@pytest.mark.parametrize(
    ("each", "to", "say", "wanted"),
    [
        ("[segment, side]", "segment.cautions", "{side} of {level}", []),
        ("side", "cautions", "{side}, not {other_side}", []),
        ("side", "cautions", "{level}", ["misplaced-placeholder"]),
        ("segment", "segment.cautions", "{level}", []),
        ("segment", "segment.cautions", "{side}", ["misplaced-placeholder"]),
        # the text of the whole case is not of one level
        ("segment", "cautions", "{level}", ["misplaced-placeholder"]),
        ("segment", "segment.cautions", "{Side}", ["unknown-placeholder"]),
        ("segment", "segment.cautions", "{side", ["unknown-placeholder"]),
        ("segment", "segment.cautions", "{}", ["unknown-placeholder"]),
    ],
)
def test_a_text_knows_what_its_rule_knows(each: str, to: str, say: str, wanted: list[str]) -> None:
    text = f'texts:\n  extra: {{say: "{say}"}}\nrules:\n'
    body = f"    for_each: {each}\n    when: {FALL}\n    then: {{{to}: [extra]}}"
    assert codes(check, text + rule(body)) == wanted


def test_every_rule_that_chooses_it_must_know() -> None:
    knows = f"    for_each: segment\n    when: {FALL}\n    then: {{segment.cautions: [extra]}}"
    not_so = f"    when: {FALL}\n    then: {{retest: [extra]}}"
    text = 'texts:\n  extra: {say: "At {level}."}\nrules:\n' + rule(knows, "a-rule")
    assert codes(check, text) == []
    text += rule(not_so, "b-rule")
    assert codes(check, text) == ["misplaced-placeholder"]


def test_everything_said_is_looked_at() -> None:
    book = book_with()
    card, exercise = book.cards["flexed-side-lying"], book.exercises["press-up"]
    assert {"Lying on the {other_side}", "5 seconds", "Pain spreads down the leg."} <= set(
        card_texts(card)
    )
    assert {"Press up.", "Ten times, twice a day"} <= set(exercise_texts(exercise))
