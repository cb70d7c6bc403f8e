"""The use cases that write: the chart note, referral letters, the home sheet, and what changed.

Each decides the case anew, so that what is written can be had again from case and edition alone.
The paper is given as data, and set as text or Markdown; names and signature are left to people.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TypedDict
from uuid import UUID

from cds.decide import Decider
from cds.explain.changes import Change, changes, sentences
from cds.explain.homesheet import home_sheet
from cds.explain.letter import letters
from cds.explain.note import note
from cds.explain.paper import Paper, as_markdown, as_text
from cds.service.advise import utc_text
from cds.service.request import read_paper, read_two
from cds.vocabulary.advice import Edition

Clock = Callable[[], datetime]
Ids = Callable[[], UUID]


class Written(TypedDict):
    """One written piece: its id, the time it was made (UTC), the edition it rests on, the paper as
    data, and the same set as text in the format asked for.
    """

    id: str
    time: str
    edition: Edition
    format: str
    paper: Paper
    text: str


class WrittenLetter(TypedDict):
    """One letter: to which destination, how urgent, whether it is only a draft until open questions
    are answered, the paper, and the same set as text.
    """

    to: str
    urgency: str
    held: bool
    paper: Paper
    text: str


class Letters(TypedDict):
    """A letter for each referral that is advised, the most urgent first; none where none is."""

    id: str
    time: str
    edition: Edition
    format: str
    letters: list[WrittenLetter]


class Changes(TypedDict):
    """What changed between two advices of one patient, as data and in sentences; both empty where
    nothing changed. `before` and `after` are the as-of dates.
    """

    id: str
    time: str
    edition: Edition
    before: str
    after: str
    changes: list[Change]
    sentences: list[str]


def write_note(decider: Decider, body: object, *, now: Clock, new_id: Ids) -> Written:
    """The chart note of the case in `body`. Raises `CaseError` with every problem."""
    case, form = read_paper(decider.vocabulary, body)
    advice = decider.decide(case)
    paper = note(decider.program, decider.resolver, advice)
    return _written(advice["edition"], form, paper, now, new_id)


def write_home_sheet(decider: Decider, body: object, *, now: Clock, new_id: Ids) -> Written:
    """The home sheet of the case in `body`. Raises `CaseError` with every problem."""
    case, form = read_paper(decider.vocabulary, body)
    advice = decider.decide(case)
    return _written(advice["edition"], form, home_sheet(decider.program, advice), now, new_id)


def write_letters(decider: Decider, body: object, *, now: Clock, new_id: Ids) -> Letters:
    """The referral letters of the case in `body`. Raises `CaseError` with every problem."""
    case, form = read_paper(decider.vocabulary, body)
    advice = decider.decide(case)
    return {
        "id": str(new_id()),
        "time": utc_text(now()),
        "edition": advice["edition"],
        "format": form,
        "letters": [
            {
                "to": letter["to"],
                "urgency": letter["urgency"],
                "held": letter["held"],
                "paper": letter["paper"],
                "text": _set(letter["paper"], form),
            }
            for letter in letters(decider.program, advice)
        ],
    }


def compare(decider: Decider, body: object, *, now: Clock, new_id: Ids) -> Changes:
    """What changed between the two cases in `body`, both decided by the edition in use."""
    before, after = read_two(decider.vocabulary, body)
    earlier, later = decider.decide(before), decider.decide(after)
    found = changes(decider.program, earlier, later)
    return {
        "id": str(new_id()),
        "time": utc_text(now()),
        "edition": later["edition"],
        "before": earlier["as_of"],
        "after": later["as_of"],
        "changes": found,
        "sentences": sentences(found),
    }


def _written(edition: Edition, form: str, paper: Paper, now: Clock, new_id: Ids) -> Written:
    return {
        "id": str(new_id()),
        "time": utc_text(now()),
        "edition": edition,
        "format": form,
        "paper": paper,
        "text": _set(paper, form),
    }


def _set(paper: Paper, form: str) -> str:
    return as_markdown(paper) if form == "markdown" else as_text(paper)
