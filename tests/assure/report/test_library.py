from __future__ import annotations

from dataclasses import replace

from cds.assure.report.library import cards, exercises, texts, value_name
from cds.assure.report.terms import terms_of
from tests.assure.report.support import Page, small, terms, text


def test_a_card_says_all_there_is() -> None:
    markup = "".join(cards(terms()))
    found = text(markup)
    for part in (
        "Muscle energy, flexed level",
        "Lying on the other side",
        "Stand in front.|Feel the level move.",
        "Push the leg down gently.",
        "Hold: 5 seconds",
        "Repetitions: 3",
        "Release under the finger.",
        "Pain spreads down the leg.",
        "Small governance, review by 1 November 2027",
        "Side-lying muscle energy for a flexed level",
    ):
        assert part in found, part
    assert "<var>other side</var>" in markup
    assert "{" not in markup


def test_exercises_and_texts() -> None:
    found = text("".join(exercises(terms())))
    for part in ("Lie face down.|Press up.", "Ten times, twice a day", "from memory"):
        assert part in found, part
    markup = "".join(texts(terms()))
    assert Page(markup).ids == {"text-mind-the-side": 1}
    assert "Mind the side side." in text(markup)
    assert "Pain on the flexed side" in text(markup)


def test_a_difference_of_sides_is_told() -> None:
    card = replace(small().cards["flexed-side-lying"], asymmetric="the table stands so")
    exercise = replace(small().exercises["press-up"], asymmetric="the wall stands so")
    program = replace(small(), cards={card.id: card}, exercises={exercise.id: exercise})
    assert "the table stands so" in "".join(cards(terms_of(program)))
    assert "the wall stands so" in "".join(exercises(terms_of(program)))


def test_a_dose_for_a_rung_carries_its_title() -> None:
    assert value_name(terms(), "thrust") == terms().rung("thrust")
    assert value_name(terms(), "hold") == "Hold"
