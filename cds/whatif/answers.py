"""What each possible answer to an open question would change, by deciding again with it.

Each answer is made in the case as one of its as-of date, and the case is judged anew; answers with
the same effect stand together. Nothing is estimated, so the words hold for this case and edition.
"""

from __future__ import annotations

from typing import NotRequired, TypedDict

from cds.decide import Decider
from cds.explain.words import amount_text
from cds.vocabulary.case import Case
from cds.vocabulary.model import Scope
from cds.whatif.asks import Ask, Option, asks, of_finding
from cds.whatif.effects import State, changes, sentence, state
from cds.whatif.look import Look, look
from cds.whatif.replies import SaidJson, said_json, told

MOST = 12
"""Questions answered for when none is named."""


class AnswerEffect(TypedDict):
    """Answers with one effect. `if_answered` for people; `says` holds one way to say each answer.

    `changes` is empty where nothing becomes another by this answer alone.
    """

    if_answered: str
    says: list[list[SaidJson]]
    changes: list[str]
    then: State


class QuestionEffects(TypedDict):
    """One question and the effects of its answers. No answers: it cannot be answered here."""

    question: str
    ask: str
    title: str
    owed: bool
    block: NotRequired[str]
    answers: list[AnswerEffect]
    words: str


class UnknownQuestionError(ValueError):
    """The finding is not one of the book, or not at this level of the case."""


def effects_of(decider: Decider, case: Case, limit: int = MOST) -> list[QuestionEffects]:
    """The effects of the answers to the first `limit` open questions, owed ones before others."""
    before = look(decider, case)
    found = asks(decider, before)
    ordered = [ask for ask in found if ask.owed] + [ask for ask in found if not ask.owed]
    return [_effects(decider, before, ask) for ask in ordered[:limit]]


def effects_of_finding(
    decider: Decider, case: Case, finding: str, level: str | None = None
) -> QuestionEffects:
    """The effects of every answer to one finding, by itself even where a block asks for it.

    Raises `UnknownQuestionError`.
    """
    known = decider.program.findings.get(finding)
    levels = [segment.level for segment in case.segments or ()]
    if known is None:
        raise UnknownQuestionError("no such finding")
    if (known.scope is Scope.SEGMENT) != (level is not None) or (level and level not in levels):
        raise UnknownQuestionError("not a finding of that level of this case")
    before = look(decider, case)
    owed = any(
        q["finding"] == finding and q.get("level") == level and q["owed"] for q in before.questions
    )
    return _effects(decider, before, of_finding(decider, before, known, level, owed))


def _effects(decider: Decider, before: Look, ask: Ask) -> QuestionEffects:
    program, vocabulary = decider.program, decider.vocabulary
    now = state(before)
    groups: dict[str, tuple[list[Option], State]] = {}
    for option in ask.options:
        after = state(look(decider, told(vocabulary, before.case, option.said)))
        groups.setdefault(repr(after), ([], after))[0].append(option)
    answers: list[AnswerEffect] = [
        {
            "if_answered": _spoken(decider, ask, options),
            "says": [[said_json(vocabulary, one) for one in option.said] for option in options],
            "changes": changes(program, now, after),
            "then": after,
        }
        for options, after in groups.values()
    ]
    found: QuestionEffects = {
        "question": ask.key,
        "ask": ask.ask,
        "title": ask.title,
        "owed": ask.owed,
        "answers": answers,
        "words": "; ".join(f"if {a['if_answered']}: {sentence(a['changes'])}" for a in answers)
        or "cannot be answered here",
    }
    if ask.block is not None:
        found["block"] = ask.block
    return found


def _spoken(decider: Decider, ask: Ask, options: list[Option]) -> str:
    """The answers of one group in words; neighbouring numbers as a range."""
    if any(option.number is None for option in options):
        return ", or ".join(option.words for option in options)
    everything = [option.number for option in ask.options]
    finding = decider.program.findings.get(ask.members[0][0]) if ask.members else None
    runs: list[list[int]] = []
    for option in options:
        assert option.number is not None
        place = everything.index(option.number)
        if runs and place and everything[place - 1] == runs[-1][-1]:
            runs[-1].append(option.number)
        else:
            runs.append([option.number])
    parts = []
    for run in runs:
        low, high = amount_text(finding, run[0]), amount_text(finding, run[-1])
        parts.append(low if low == high else f"{low} to {high}")
    return ", or ".join(parts)
