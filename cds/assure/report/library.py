"""Technique cards, home exercises and the texts that rules choose."""

from __future__ import annotations

from cds.assure.report.evidence import references
from cds.assure.report.html import Child, Html, bullets, el, join
from cds.assure.report.rules import day, definitions
from cds.assure.report.terms import Terms, anchor, named, with_holes
from cds.explain.words import word
from cds.rulebook.book import Card, Exercise, Text


def cards(terms: Terms) -> list[Html]:
    """Every technique card."""
    return [
        el(
            "p",
            "In a card the words ",
            join([el("var", "side"), ", ", el("var", "other side"), " and ", el("var", "level")]),
            " stand for what the advice fills in: the side of the label, the side opposite to it, "
            "and the level treated.",
        ),
        *(
            _entry(
                anchor("card", card.id),
                terms.heading("card", card.id, with_holes(card.title)),
                card_rows(terms, card),
            )
            for card in terms.program.cards.values()
        ),
    ]


def card_rows(terms: Terms, card: Card) -> list[tuple[str, Child]]:
    """Everything a card says, row by row."""
    dose = [join([value_name(terms, name), ": ", with_holes(text)]) for name, text in card.dose]
    rows: list[tuple[str, Child]] = [
        ("For", f"{_pattern(card.pattern)}; {', '.join(terms.rung(rung) for rung in card.rungs)}"),
        ("Position", with_holes(card.position)),
        ("Needs", "; ".join(terms.family(name) for name in card.positions) or "no position named"),
        ("Set-up", bullets([with_holes(text) for text in card.set_up], ordered=True)),
        ("Effort", with_holes(card.effort)),
        ("Dose", bullets(dose)),
        ("Patient feels", with_holes(card.feel)),
        ("Stop when", bullets([with_holes(text) for text in card.stop])),
    ]
    if card.if_not_tolerated:
        rows.append(("If not tolerated", with_holes(card.if_not_tolerated)))
    if card.instead_of is not None:
        other = terms.program.cards[card.instead_of]
        rows.append(("Stands in for", with_holes(other.title)))
    if card.asymmetric:
        rows.append(("Sides differ", card.asymmetric))
    rows += [
        ("Evidence", references(terms, card.evidence)),
        ("Owner", f"{named(card.owner) or 'none named'}, review by {day(card.review_by)}"),
        ("Chosen by", _choosers(terms, card.id)),
        ("Name", el("code", card.id)),
    ]
    return rows


def value_name(terms: Terms, name: str) -> str:
    """The name of a dose: a rung's title where it is a rung, else the word."""
    return terms.rung(name) if name in terms.program.ladder.rung_names else named(name)


def _pattern(pattern: str) -> str:
    return "any pattern" if pattern == "any" else f"{word(pattern)} pattern"


def exercises(terms: Terms) -> list[Html]:
    """Every home exercise."""
    return [
        _entry(
            anchor("exercise", exercise.id),
            terms.heading("exercise", exercise.id, with_holes(exercise.title)),
            exercise_rows(terms, exercise),
        )
        for exercise in terms.program.exercises.values()
    ]


def exercise_rows(terms: Terms, exercise: Exercise) -> list[tuple[str, Child]]:
    """Everything an exercise says, row by row."""
    rows: list[tuple[str, Child]] = [
        ("Needs", "; ".join(terms.family(name) for name in exercise.loads) or "nothing special"),
        ("How", bullets([with_holes(text) for text in exercise.how], ordered=True)),
        ("Dose", with_holes(exercise.dose)),
        ("Stop when", bullets([with_holes(text) for text in exercise.stop])),
    ]
    if exercise.asymmetric:
        rows.append(("Sides differ", exercise.asymmetric))
    rows += [
        ("Evidence", references(terms, exercise.evidence)),
        ("Owner", f"{named(exercise.owner) or 'none named'}, review by {day(exercise.review_by)}"),
        ("Chosen by", _choosers(terms, exercise.id)),
        ("Name", el("code", exercise.id)),
    ]
    return rows


def texts(terms: Terms) -> list[Html]:
    """Every text: cautions, re-tests, safety net, what to explain."""
    return [_text(terms, text) for text in terms.program.texts.values()]


def _text(terms: Terms, text: Text) -> Html:
    rows: list[tuple[str, Child]] = [
        ("Says", with_holes(text.say)),
        ("Evidence", references(terms, text.evidence)),
        ("Chosen by", _choosers(terms, text.id)),
    ]
    return _entry(anchor("text", text.id), named(text.id), rows)


def _choosers(terms: Terms, name: str) -> Child:
    return join(terms.rules(terms.links.choosers.get(name, ())), "; ") or "no rule"


def _entry(target: str, title: Child, rows: list[tuple[str, Child]]) -> Html:
    return el("article", el("h3", title), definitions(rows), class_="entry", id=target)
