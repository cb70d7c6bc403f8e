"""The highest rung reached at each level, through every session and every gap in the record."""

from typing import Any

from cds.features.compute import inputs
from cds.vocabulary.ageing import stand
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import NOT_APPLICABLE, Choice, Input
from tests.support.fixtures import decider as shipped


def reached(course: list[dict[str, Any]] | None, level: str = "L5") -> Input | None:
    decider = shipped()
    data: dict[str, Any] = {
        "as_of": "2026-11-20", "moment": "before_session", "segments": [{"level": level}],
    }  # fmt: skip
    if course is not None:
        data["course"] = course
    case = read_case(decider.vocabulary, data)
    values = inputs(decider.program, case, stand(decider.vocabulary, case)).values
    return values.get(f"segment.reached_rung@{level}")


def session(day: int, *given: tuple[str, str]) -> dict[str, Any]:
    return {
        "on": f"2026-11-{day:02}",
        "given": [{"level": level, "rung": rung} for level, rung in given],
    }


def test_the_highest_rung_of_any_session_counts() -> None:
    course = [session(1, ("L5", "mobilization_3")), session(8, ("L5", "muscle_energy"))]
    assert reached(course) == Choice(("mobilization_3",))


def test_another_level_counts_for_nothing() -> None:
    assert reached([session(1, ("L3", "mobilization_4"))]) == Choice(("no_treatment",))


def test_a_first_session_has_reached_nothing_and_no_course_says_nothing() -> None:
    assert reached([]) is NOT_APPLICABLE
    assert reached(None) is None


def test_a_session_that_does_not_say_what_was_given_may_have_gone_higher() -> None:
    found = reached([session(1, ("L5", "mobilization_3")), {"on": "2026-11-08"}])
    assert found == Choice(("mobilization_3", "mobilization_4", "thrust"))
