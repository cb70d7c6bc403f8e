"""What became of each answer, and the headline's second line."""

from datetime import date, timedelta
from typing import Any

import pytest

from cds.decide import Decider
from cds.explain.answers import answers, asked_line
from cds.rulebook.program import Program
from cds.vocabulary.advice import Answers
from cds.vocabulary.ageing import WHY, stand
from cds.vocabulary.reading import read_case
from cds.vocabulary.vocabulary import Vocabulary
from tests.explain.seen import presences, rule
from tests.support.expected import FORBIDDEN
from tests.support.tiny import tiny

TODAY = date(2026, 11, 20)
RULE = rule("r", "{finding: numb, is: yes}", "{care_today: no_hands_on}")
EXTRA = (
    "blocks: {both: {ask: Any?, findings: [a, b, stiffness, segment.slip]}}\n"
    + presences(
        "a", "b", "c", "segment.slip", "depends",
        a="block: both, good_for: {days: 10}, voided_by: [c]", b="block: both",
        c="ask_alone: true", depends="applies_when: {finding: c, is: yes}",
        **{"segment.slip": "block: both"},
    )
    + '  stiffness: {ask: "Mark?", title: Stiffness, kind: score, range: [0, 10], block: both}\n'
)  # fmt: skip


def ago(days: int) -> str:
    return (TODAY - timedelta(days=days)).isoformat()


def seen(more: Any = None, **said: Any) -> tuple[Answers, str]:
    program: Program = tiny(RULE, EXTRA)
    vocabulary = Vocabulary.of(program)
    data = {
        "as_of": TODAY.isoformat(), "moment": "before_session", "answers": said, **(more or {}),
    }  # fmt: skip
    case = read_case(vocabulary, data)
    standing = stand(vocabulary, case)
    return answers(program, standing), asked_line(program, case, standing)


def test_an_answer_that_counts_has_its_value_age_and_source() -> None:
    found, _ = seen(b={"value": "no", "observed": ago(3), "how": "asked", "by": "t-1"}, numb="no")
    assert found["used"] == [
        {"finding": "b", "value": "no", "observed": ago(3), "age_days": 3, "how": "asked",
         "by": "t-1"},
        {"finding": "numb", "value": "no", "observed": ago(0), "age_days": 0, "how": "asked"},
    ]  # fmt: skip


def test_a_stale_answer_keeps_its_old_value_and_says_why() -> None:
    found, _ = seen(a={"value": "no", "observed": ago(11)})
    assert found["stale"] == [
        {"finding": "a", "value": "no", "observed": ago(11), "why": WHY["expired"]}
    ]
    assert {"finding": "a", "reason": "stale"} in found["missing"]
    assert "a" not in [entry["finding"] for entry in found["used"]]


def test_the_day_an_answer_is_good_for_is_the_last() -> None:
    assert seen(a={"value": "no", "observed": ago(10)})[0]["stale"] == []


def test_what_voided_an_answer_is_named() -> None:
    found, _ = seen(a={"value": "no", "observed": ago(2)}, c={"value": "yes", "observed": ago(1)})
    assert found["stale"][0]["why"] == f"{WHY['voided']} (c)"


def test_what_does_not_apply_is_in_none_of_the_lists_but_its_value_is_rejected() -> None:
    found, _ = seen(c="no")
    for key in ("used", "stale", "missing", "rejected"):
        assert "depends" not in [entry["finding"] for entry in found[key]]


def test_reasons_for_missing_are_told() -> None:
    found, _ = seen(numb={"missing": "declined"})
    reasons = {entry["finding"]: entry["reason"] for entry in found["missing"]}
    assert (reasons["numb"], reasons["b"]) == ("declined", "not_asked")


# ------------------------------------------------------------ the second line


def test_nothing_asked_is_not_assessed() -> None:
    assert seen()[1] == "No screening question has an answer that counts: not assessed."
    # a finding that is no screening question does not make it assessed
    assert seen(fall="no")[1].endswith("not assessed.")


def test_counts_and_the_oldest() -> None:
    _, line = seen(numb="no", b={"value": "no", "observed": ago(9), "asked": ago(9)})
    assert line == (
        "Screening answers that count: 2, 1 of them from today; the oldest is 9 days old (b). "
        "Not asked or no longer counting: 4."
    )


@pytest.mark.parametrize(("days", "text"), [(1, "1 day old"), (2, "2 days old")])
def test_one_day_is_one_day(days: int, text: str) -> None:
    assert text in seen(b={"value": "no", "observed": ago(days)})[1]


def test_an_old_answer_sent_today_is_not_from_today() -> None:
    _, line = seen(b={"value": "no", "observed": ago(9)})
    assert line.startswith("Screening answers that count: 1, 0 of them from today;")


def test_all_of_today_has_no_oldest() -> None:
    assert "oldest" not in seen(numb="no")[1]


def test_a_stale_answer_is_not_counted_as_asked() -> None:
    _, line = seen(numb="no", a={"value": "no", "observed": ago(30)})
    assert line.startswith("Screening answers that count: 1,")
    assert line.endswith("no longer counting: 5.")


def test_a_screening_finding_of_a_level_counts_at_each_level() -> None:
    """A level's unasked question is not lost from the count."""
    levels = {"segments": [{"level": "L4"}, {"level": "L5", "answers": {"slip": "no"}}]}
    none: dict[str, Any] = {"segments": []}
    assert seen(none, numb="no")[1].endswith("no longer counting: 4.")
    _, line = seen(levels, numb="no")
    assert line.startswith("Screening answers that count: 2,")
    assert line.endswith("no longer counting: 5.")


def test_the_line_never_gives_a_verdict() -> None:
    for said in ({}, {"numb": "no"}, dict.fromkeys(("numb", "a", "b", "c"), "no")):
        assert not FORBIDDEN.search(seen(**said)[1])


def test_decide_shows_both() -> None:
    decider = Decider(tiny(RULE, EXTRA))
    case = read_case(
        decider.vocabulary,
        {"as_of": TODAY.isoformat(), "moment": "before_session", "answers": {"numb": "no"}},
    )
    advice = decider.decide(case)
    standing = stand(decider.vocabulary, case)
    assert advice["answers"] == answers(decider.program, standing)
    assert advice["headline"]["second"] == asked_line(decider.program, case, standing)
