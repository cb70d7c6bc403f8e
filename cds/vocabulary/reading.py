"""A case as JSON -> a checked `Case`, or every problem at once with its JSON pointer.

A case with any wrong value is refused whole: what was meant is not guessed. Names and words of the
edition are allowed, nothing else. Problems never repeat a value.

    {"as_of": "2026-11-20", "moment": "before_session", "patient": {"age": 34},
     "answers": {"saddle_sensation": "normal"}, "blocks": {"infection_risk": "none_of_these"}}

`"blocks": {id: "none_of_these"}` answers, by block, every finding of the block that was not asked
for itself on that day or later; findings that are asked alone are left out. The full form is that
of an answer: `{"value": "none_of_these", "observed": …, "how": "confirmed_unchanged"}`.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from cds.problems import CaseError
from cds.vocabulary.ageing import Standing, stand
from cds.vocabulary.applies import names
from cds.vocabulary.case import Answer, Case, Segment
from cds.vocabulary.jsonbytes import token
from cds.vocabulary.model import LEVELS, MOMENTS, Finding, Kind, Scope, at_level
from cds.vocabulary.reading_fields import Fields, Sink, as_items, as_object, near
from cds.vocabulary.reading_parts import (
    Patient,
    read_clinician,
    read_consents,
    read_course,
    read_patient,
    read_place,
    read_referrals,
    read_resolved,
    read_today,
)
from cds.vocabulary.reading_values import read_answers
from cds.vocabulary.values import Choice
from cds.vocabulary.vocabulary import SEGMENT, Vocabulary, none_of_these

CASE_KEYS = (
    "as_of", "moment", "subject", "episode", "patient", "answers", "blocks", "resolved", "segments",
    "course", "today", "referrals", "consents", "clinician",
)  # fmt: skip
NONE_OF_THESE = "none_of_these"

_ANY_BLOCK = Finding("", Kind.CHOICE, "", "", values=(NONE_OF_THESE,))


def read_case(vocab: Vocabulary, data: object) -> Case:
    """The checked case. `data` is parsed JSON (see `cds.vocabulary.jsonbytes`).

    Raises `CaseError` with all problems.
    """
    sink = Sink(date.max)
    fields = Fields(data, "", "the case", CASE_KEYS, sink)
    if sink.problems and not fields.found:  # not an object at all
        raise CaseError(sink.problems)
    fields.owed("as_of", "moment")
    # first of all: every other date is held against it
    sink.as_of = fields.day("as_of") or date.max
    moment = fields.word("moment", MOMENTS)

    def part(key: str) -> tuple[object, str] | None:
        return (fields.get(key), fields.at(key)) if key in fields else None

    patient, found = Patient(), part("patient")
    if found:
        patient = read_patient(*found, sink)
    answers = _case_answers(vocab, fields)
    resolved, course, steps = part("resolved"), part("course"), part("today")
    referrals, consents, clinician = part("referrals"), part("consents"), part("clinician")
    who, training = read_clinician(vocab, *clinician, sink) if clinician else (None, {})
    case = Case(
        as_of=sink.as_of,
        moment=moment or MOMENTS[0],
        subject=fields.text("subject"),
        episode=fields.text("episode"),
        age_low=patient.age_low,
        age_high=patient.age_high,
        sex=patient.sex,
        answers=answers,
        resolved=read_resolved(vocab, *resolved, sink) if resolved else (),
        segments=_segments(vocab, fields),
        course=read_course(vocab, *course, sink) if course else None,
        steps=read_today(vocab, steps[0], moment, steps[1], sink) if steps else None,
        referrals=read_referrals(vocab, *referrals, sink) if referrals else (),
        consents=read_consents(vocab, *consents, sink) if consents else (),
        clinician=who,
        training=training,
        referrals_sent=referrals is not None,
        consents_sent=consents is not None,
    )
    if not sink.problems:
        case = _applicable(vocab, case, sink)
    if sink.problems:
        raise CaseError(sink.problems)
    return case


def _case_answers(vocab: Vocabulary, fields: Fields) -> dict[str, tuple[Answer, ...]]:
    sink = fields.sink
    answers: dict[str, tuple[Answer, ...]] = {}
    if "answers" in fields:
        pointer = fields.at("answers")
        for name, value in (
            as_object(fields.get("answers"), "`answers`", pointer, sink) or {}
        ).items():
            at = pointer + token(name)
            finding = vocab.case_findings.get(name)
            if finding is None:
                _unknown(vocab, name, at, Scope.CASE, sink)
                continue
            answers[name] = read_answers(finding, value, at, sink, blocked=name in vocab.blocked)
    if "blocks" in fields:
        _blocks(vocab, fields.get("blocks"), fields.at("blocks"), answers, sink)
    return {name: answers[name] for name in vocab.findings if answers.get(name)}


def _unknown(vocab: Vocabulary, name: str, at: str, scope: Scope, sink: Sink) -> None:
    bare = name.removeprefix(SEGMENT)
    if scope is Scope.CASE and SEGMENT + bare in vocab.segment_findings:
        sink.error(
            "wrong-scope", f"`{SEGMENT}{bare}` is a finding of one level", at,
            "send it in `answers` of a member of `segments`",
        )  # fmt: skip
    elif scope is Scope.SEGMENT and SEGMENT + bare in vocab.segment_findings:
        sink.error("wrong-scope", f"inside a segment write `{bare}`", at)
    elif scope is Scope.SEGMENT and bare in vocab.case_findings:
        sink.error(
            "wrong-scope", f"`{bare}` is a finding of the whole case", at,
            "send it in `answers` of the case",
        )  # fmt: skip
    elif scope is Scope.CASE:
        sink.error("unknown-finding", "no such finding", at, near(name, vocab.case_findings))
    else:
        known = [full.removeprefix(SEGMENT) for full in vocab.segment_findings]
        sink.error("unknown-finding", "no such finding of a level", at, near(name, known))


def _blocks(
    vocab: Vocabulary,
    value: object,
    pointer: str,
    answers: dict[str, tuple[Answer, ...]],
    sink: Sink,
) -> None:
    for block, said in (as_object(value, "`blocks`", pointer, sink) or {}).items():
        at = pointer + token(block)
        if block not in vocab.blocks:
            sink.error("unknown-block", "no such block", at, near(block, vocab.blocks))
            continue
        spoken = replace(_ANY_BLOCK, name=block)
        if not isinstance(said, dict):
            read = read_answers(spoken, said, at, sink, blocked=True)
        else:
            read = read_answers(spoken, {"how": "by_block", **said}, at, sink, blocked=True)
        for answer in read:
            _spread(vocab, block, answer, answers)


def _spread(
    vocab: Vocabulary, block: str, said: Answer, answers: dict[str, tuple[Answer, ...]]
) -> None:
    for name in vocab.blocks_of[block]:
        word = none_of_these(vocab.findings[name])
        own = answers.get(name, ())
        if word is None or any(answer.asked >= said.asked for answer in own):
            continue
        known = said.value is not None
        answer = replace(
            said,
            finding=name,
            how="by_block" if said.how == "asked" else said.how,
            value=Choice((word,)) if known else None,
            raw=word if known else "",
        )
        answers[name] = (*own, answer)


def _segments(vocab: Vocabulary, fields: Fields) -> tuple[Segment, ...] | None:
    """Listed levels, from above downward; None where the list was not sent."""
    if "segments" not in fields:
        return None
    sink = fields.sink
    found: dict[str, Segment] = {}
    for value, at in as_items(fields.get("segments"), "`segments`", fields.at("segments"), sink):
        segment = read_place(vocab, value, at, sink)
        answers = _segment_answers(vocab, value, at, sink)
        if segment is None:
            continue
        if segment.level in found:
            message = f"the level `{segment.level}` is listed twice"
            sink.error("duplicate-level", message, at + "/level")
        found[segment.level] = replace(segment, answers=answers)
    return tuple(found[level] for level in LEVELS if level in found)


def _segment_answers(
    vocab: Vocabulary, value: object, pointer: str, sink: Sink
) -> dict[str, tuple[Answer, ...]]:
    if not isinstance(value, dict) or "answers" not in value:
        return {}
    answers: dict[str, tuple[Answer, ...]] = {}
    at = pointer + "/answers"
    for bare, said in (as_object(value["answers"], "`answers`", at, sink) or {}).items():
        finding = None if bare.startswith(SEGMENT) else vocab.segment_findings.get(SEGMENT + bare)
        if finding is None:
            _unknown(vocab, bare, at + token(bare), Scope.SEGMENT, sink)
            continue
        answers[finding.name] = read_answers(finding, said, at + token(bare), sink, blocked=False)
    return {name: answers[name] for name in vocab.findings if answers.get(name)}


def _applicable(vocab: Vocabulary, case: Case, sink: Sink) -> Case:
    """Notes values for findings that do not apply; drops what only a block said of such ones.

    An answer older than what made its finding inapplicable is history, not an error: ageing sets it
    aside.
    """
    standing = stand(vocab, case)
    dropped: set[str] = set()
    for aside in standing.rejected:
        if aside.why != "does_not_apply":
            continue
        answer = aside.answer
        if answer.pointer.startswith("/blocks/"):
            dropped.add(answer.finding)
        elif answer.observed >= _since(vocab, standing, aside.name, answer.finding):
            message = f"`{answer.finding}` does not apply to this case as it was answered"
            sink.error("does-not-apply", message, answer.pointer)
    if not dropped:
        return case
    kept = {
        name: tuple(a for a in found if name not in dropped or not a.pointer.startswith("/blocks/"))
        for name, found in case.answers.items()
    }
    return replace(case, answers={name: found for name, found in kept.items() if found})


def _since(vocab: Vocabulary, standing: Standing, grounded: str, name: str) -> date:
    """The latest day of an answer that the applicability of a finding rests on."""
    level = grounded.partition("@")[2] or None
    days = [date.min]
    for tested in names(vocab.findings[name].applies_when):
        used = standing.used.get(at_level(tested, level if tested.startswith(SEGMENT) else None))
        if used:
            days.append(used.answer.observed)
    return max(days)
