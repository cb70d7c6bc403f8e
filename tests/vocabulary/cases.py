"""Hypothesis strategies for cases that the reader accepts."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from cds.problems import CaseError
from cds.vocabulary.model import LEVELS, SIDES, URGENCIES, Finding, Kind
from cds.vocabulary.reading import read_case
from cds.vocabulary.reading_parts import (
    INTERPRETER,
    OUTCOMES,
    POSITIONS,
    PROMINENT,
    RESOLVED_BY,
    SESSION_WORDS,
    SEX,
    STEP_WORDS,
    YES_NO,
)
from cds.vocabulary.vocabulary import SEGMENT, Vocabulary
from tests.vocabulary.sample import TODAY

DAYS = st.dates(TODAY - timedelta(400), TODAY).map(date.isoformat)
TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), min_size=1, max_size=12
)


def some(required: dict[str, Any], optional: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(required, optional=optional)


def values(finding: Finding) -> st.SearchStrategy[Any]:
    if finding.kind is Kind.DATE:
        cut = st.sampled_from([4, 7, 10])
        return st.builds(lambda day, end: day[:end], DAYS, cut)
    if not finding.numeric:
        words = st.sampled_from(finding.values)
        some_of = st.lists(words, min_size=1, unique=True)
        return words | some_of.map(lambda found: {"one_of": found})
    low = 0 if finding.low is None else finding.steps(finding.low)
    high = 50 if finding.high is None else finding.steps(finding.high)
    steps = st.integers(low, high).map(finding.number)
    plain = steps.map(lambda n: int(n) if n == int(n) else float(n))
    ends = st.tuples(plain, plain).map(sorted)
    return (
        plain
        | plain.map(lambda n: {"at_least": n})
        | ends.map(lambda both: {"at_least": both[0], "at_most": both[1]})
    )


@st.composite
def full(draw: st.DrawFn, finding: Finding) -> dict[str, Any]:
    found: dict[str, Any] = (
        {"value": draw(values(finding))}
        if draw(st.booleans())
        else {"missing": draw(st.sampled_from(["declined", "not_asked", "unreadable"]))}
    )
    dates = sorted([draw(DAYS), draw(DAYS)])
    how = draw(st.sampled_from(["asked", "examined", "record", "confirmed_unchanged"]))
    found |= {"observed": dates[0], "asked": dates[1], "how": how}
    if how == "confirmed_unchanged":
        found["confirmations"] = draw(st.integers(1, 4))
    if draw(st.booleans()):
        found["by"] = draw(TEXTS)
    return found


def answers(finding: Finding) -> st.SearchStrategy[Any]:
    short = st.sampled_from(finding.values) if finding.values else st.nothing()
    return short | full(finding) | st.lists(full(finding), min_size=1, max_size=3)


def words(found: dict[str, tuple[str, ...]]) -> dict[str, Any]:
    return {key: st.sampled_from(allowed) for key, allowed in found.items()}


@st.composite
def any_case(draw: st.DrawFn, vocab: Vocabulary) -> dict[str, Any]:
    """A case in short and full forms. Findings that turn out not to apply are left out."""
    pain = st.integers(0, 10)
    level, rung = st.sampled_from(LEVELS), st.sampled_from(vocab.rungs)
    at_case = {name: answers(finding) for name, finding in vocab.case_findings.items()}
    at_level = {
        name.removeprefix(SEGMENT): answers(finding)
        for name, finding in vocab.segment_findings.items()
    }
    sides = some({}, dict.fromkeys(POSITIONS, st.sampled_from(PROMINENT)))
    grades = some({}, dict.fromkeys(POSITIONS, st.integers(0, 3)))
    segment = some(
        {"level": level}, {"prominent": sides, "grades": grades, "answers": some({}, at_level)}
    )
    given = some(
        {"level": level, "rung": rung}, {"side": st.sampled_from(SIDES), "technique": TEXTS}
    )
    session = some(
        {"on": DAYS},
        {"therapist": TEXTS, "given": st.lists(given, max_size=2), "advised": rung,
         "pain_before": pain, "pain_after": pain, **words(SESSION_WORDS)},
    )  # fmt: skip
    step = some({"rung": rung}, {"level": level, "pain": pain, "card": TEXTS, **words(STEP_WORDS)})
    positive = [f.name for f in vocab.case_findings.values() if f.adverse and not f.numeric]
    resolved = some(
        {"finding": st.sampled_from(positive), "on": DAYS, "by": TEXTS,
         "how": st.sampled_from(RESOLVED_BY)}, {"observed": DAYS},
    ).map(_ends_what_came_before)  # fmt: skip
    referral = some(
        {"to": st.sampled_from(vocab.destinations), "on": DAYS,
         "urgency": st.sampled_from(URGENCIES[1:])}, {"outcome": st.sampled_from(OUTCOMES)},
    )  # fmt: skip
    consent = some(
        {"family": st.sampled_from(("hands_on", *vocab.hands_on)), "region": TEXTS, "on": DAYS,
         "by": TEXTS},
        words({**dict.fromkeys(("capacity", "risks_given"), YES_NO), "interpreter": INTERPRETER}),
    )  # fmt: skip
    born = st.builds(lambda day, end: day[:end], DAYS, st.sampled_from([4, 7, 10]))
    patient = some({}, {"sex": st.sampled_from(SEX), "born": born}) | some(
        {"age": st.integers(0, 120)}, {}
    )
    training = some({}, words(dict.fromkeys(vocab.hands_on, YES_NO)))
    found: dict[str, Any] = draw(
        some(
            {"as_of": st.just(TODAY.isoformat()), "moment": st.just("during_session")},
            {
                "subject": TEXTS,
                "patient": patient,
                "answers": some({}, at_case),
                "blocks": some({}, dict.fromkeys(vocab.blocks, st.just("none_of_these"))),
                "resolved": st.lists(resolved, max_size=2),
                "segments": st.lists(segment, max_size=3, unique_by=lambda s: s["level"]),
                "course": st.lists(session, max_size=3).map(
                    lambda many: sorted(many, key=lambda one: one["on"])
                ),
                "today": some({}, {"steps": st.lists(step, max_size=2)}),
                "referrals": st.lists(referral, max_size=2),
                "consents": st.lists(consent, max_size=2),
                "clinician": some({}, {"id": TEXTS, "training": training}),
            },
        )
    )
    try:
        read_case(vocab, found)
    except CaseError as error:
        # only what depends on other answers may be refused; take it out where it stands
        for problem in error.problems:
            assert problem.code == "does-not-apply", problem
            assert problem.pointer
            *path, name = problem.pointer.removesuffix("/0").split("/")[1:]
            if name.isdigit():
                assume(False)
            inner: Any = found
            for key in path:
                inner = inner[int(key)] if isinstance(inner, list) else inner[key]
            inner.pop(name, None)
    return found


def _ends_what_came_before(entry: dict[str, Any]) -> dict[str, Any]:
    """A resolution names no answer observed after it."""
    if "observed" not in entry:
        return entry
    return {**entry, "observed": min(entry["observed"], entry["on"])}
