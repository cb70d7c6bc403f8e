"""Whether the neurological examination was done today."""

from __future__ import annotations

from datetime import timedelta

from cds.features.examination import NEUROLOGICAL, examination_features
from cds.vocabulary.case import Answer
from cds.vocabulary.values import Choice, Missing
from tests.features.cases import AS_OF, a_record, plain


def answer(how: str = "examined", days_ago: int = 0, known: bool = True) -> Answer:
    on = AS_OF - timedelta(days=days_ago)
    value, missing = (Choice(("normal",)), None) if known else (None, Missing.CANNOT_ASSESS)
    return Answer("power", value, missing, on, on, how)


def found(**parts: tuple[Answer, ...]) -> object:
    answers = dict.fromkeys(NEUROLOGICAL, (answer(),)) | parts
    return plain(examination_features(a_record(answers=answers)).get("neuro_exam_today"))


def test_all_three_examined_today() -> None:
    assert found() == "yes"


def test_one_only_asked_or_read_in_a_record() -> None:
    assert found(power=(answer("asked"),)) == "no"
    assert found(power=(answer("record"),)) == "no"
    assert found(power=(answer("confirmed_unchanged"),)) == "no"


def test_one_examined_yesterday() -> None:
    assert found(reflexes=(answer(days_ago=1),)) == "no"
    assert found(reflexes=(answer(days_ago=1), answer())) == "yes"


def test_one_not_recorded_is_unknown() -> None:
    assert found(sensation=()) == "unknown"
    assert found(sensation=(answer(known=False),)) == "unknown"
    assert found(sensation=(), power=(answer("asked"),)) == "no"
