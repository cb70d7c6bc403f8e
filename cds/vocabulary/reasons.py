"""Why not: the shapes in which an advice says what it does not offer, and what would change it."""

from __future__ import annotations

from typing import NotRequired, TypedDict


class WhyNot(TypedDict):
    """A rung that is not offered at a level, and what keeps it shut.

    `by`: what would have to change: `answer`, `today`, `course`, `policy`, `stands`, `below` or
    `moment`; `change` says it in words, `questions` names the findings to answer.
    """

    level: str
    rung: str
    kind: str
    rules: list[str]
    text: str
    by: str
    change: str
    questions: NotRequired[list[str]]


class NotMade(TypedDict):
    """A label that palpation did not give at a level, and the first position that did not fit it.

    `position` is `neighbours` where the level itself would fit and too few others join it.
    """

    pattern: str
    position: str
    text: str
