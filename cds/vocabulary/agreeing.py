"""Several answers to one finding, one value: the worst positive, or what a day agrees on."""

from __future__ import annotations

from datetime import date
from typing import cast

from cds.vocabulary.case import Answer
from cds.vocabulary.model import Finding
from cds.vocabulary.values import Amount, Choice, Value


def worst(finding: Finding, standing: list[Answer]) -> tuple[Answer, Value]:
    """The positive that counts, and its value. `standing`: at least one, all of them positives.

    Where the values are ordered, or numbers, the worst; else the latest day's, all as options.
    """
    if finding.numeric:
        found = max(standing, key=lambda answer: (_bad(finding, answer), answer.observed))
        return found, cast(Value, found.value)
    if finding.ordered:
        # the worse end is where the adverse values lie
        up = finding.values[-1] in finding.adverse
        places = {word: place if up else -place for place, word in enumerate(finding.values)}

        def badness(answer: Answer) -> tuple[int, date]:
            options = cast(Choice, answer.value).options
            return max(places[word] for word in options), answer.observed

        found = max(standing, key=badness)
        return found, cast(Value, found.value)
    latest = max(answer.observed for answer in standing)
    same_day = [answer for answer in standing if answer.observed == latest]
    options = {word for answer in same_day for word in cast(Choice, answer.value).options}
    return same_day[-1], Choice(tuple(word for word in finding.values if word in options))


def _bad(finding: Finding, answer: Answer) -> int:
    """How bad a number surely is: the end of its interval that made it a positive."""
    value = cast(Amount, answer.value)
    down = finding.adverse == ("down",)
    end = value.high if down else value.low
    assert end is not None  # else it was no sure positive
    return -end if down else end


def agreed(finding: Finding, values: list[Value]) -> Value | None:
    """One value of one day's answers; None where they disagree.

    Of differing numbers the worse counts where the finding says which direction is adverse.
    """
    if all(value == values[0] for value in values):
        return values[0]
    numbers = [value.exact for value in values if isinstance(value, Amount)]
    exact = [number for number in numbers if number is not None]
    if len(exact) == len(values) and finding.adverse in (("up",), ("down",)):
        number = max(exact) if finding.adverse == ("up",) else min(exact)
        return Amount(number, number)
    return None
