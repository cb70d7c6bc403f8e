from __future__ import annotations

from datetime import date

import pytest

from cds.web.words import FILTERS, MONTHS, ago, day, idref, plain, sentence


def test_values_are_said_in_plain_words() -> None:
    assert plain("no_hands_on") == "no hands on"
    assert plain(3) == "3"


def test_a_day_is_said_and_what_is_none_is_left() -> None:
    assert day("2026-11-20") == day(date(2026, 11, 20)) == "20 November 2026"
    assert day("2026-01-02") == "2 January 2026"
    assert day("2026-11") == "2026-11"
    assert day("soon") == "soon"
    assert len(set(MONTHS)) == 12


@pytest.mark.parametrize(("days", "said"), [(0, "today"), (1, "yesterday"), (2, "2 days ago")])
def test_how_long_ago(days: int, said: str) -> None:
    assert ago(days) == said


def test_a_sentence_begins_with_a_capital_and_keeps_the_rest() -> None:
    assert sentence("an MRI") == "An MRI"
    assert sentence("") == ""


def test_an_id_has_no_signs() -> None:
    assert idref("s.L5.a.prominence@neutral") == "s-L5-a-prominence-neutral"
    assert idref("é 1") == "é-1"


def test_every_word_is_a_filter() -> None:
    ours = {"plain": plain, "day": day, "ago": ago, "sentence": sentence, "idref": idref}
    assert ours.items() <= FILTERS.items()
