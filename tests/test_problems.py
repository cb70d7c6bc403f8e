"""Problems are collected, sorted by place, kept once, and say the same to people and machines."""

from __future__ import annotations

import pytest

from cds.problems import (
    CaseError,
    FeatheredgeError,
    Place,
    Problem,
    ProblemsError,
    RuleBookError,
    Severity,
    has_errors,
    sorted_problems,
)


def at(file: str, line: int, column: int = 1, code: str = "c", message: str = "m") -> Problem:
    return Problem(code, message, place=Place(file, line, column))


def test_a_place_reads_as_editors_expect_it() -> None:
    assert str(Place("findings/general.yaml", 12, 5)) == "findings/general.yaml:12:5"
    assert str(Place("", 1, 1)) == "rule book"  # what the whole of it lacks


def test_places_order_by_number_not_by_text() -> None:
    assert Place("a.yaml", 9, 1) < Place("a.yaml", 10, 1) < Place("b.yaml", 1, 1)


def test_problems_come_in_order_of_file_line_and_column() -> None:
    wanted = (at("a.yaml", 2), at("a.yaml", 10, 3), at("a.yaml", 10, 20), at("b.yaml", 1))
    assert sorted_problems(reversed(wanted)) == wanted


def test_problems_at_one_place_order_by_code_then_message() -> None:
    wanted = (at("a", 1, code="a", message="z"), at("a", 1, code="b", message="a"))
    assert sorted_problems(reversed(wanted)) == wanted


def test_problems_of_a_case_order_by_pointer() -> None:
    wanted = (Problem("c", "m", pointer="/answers/a"), Problem("c", "m", pointer="/as_of"))
    assert sorted_problems(reversed(wanted)) == wanted


def test_the_same_problem_is_reported_once() -> None:
    assert sorted_problems([at("a", 1), at("a", 1)]) == (at("a", 1),)


def test_only_errors_refuse() -> None:
    warning = Problem("c", "m", severity=Severity.WARNING)
    assert not has_errors([])
    assert not has_errors([warning])
    assert has_errors([warning, Problem("c", "m")])


def test_json_holds_what_there_is_and_nothing_else() -> None:
    assert Problem("c", "m").to_json() == {"code": "c", "severity": "error", "message": "m"}
    placed = Problem("c", "m", place=Place("a.yaml", 3, 4), help="h", severity=Severity.WARNING)
    assert placed.to_json() == {
        "code": "c",
        "severity": "warning",
        "message": "m",
        "help": "h",
        "file": "a.yaml",
        "line": 3,
        "column": 4,
    }
    assert Problem("c", "m", pointer="/x/0").to_json()["pointer"] == "/x/0"


def test_the_root_of_a_document_is_a_pointer_too() -> None:
    assert Problem("c", "m", pointer="").to_json()["pointer"] == ""


@pytest.mark.parametrize(
    ("problem", "wanted"),
    [
        (at("a.yaml", 3, 4), "a.yaml:3:4: error: m [c]"),
        (Problem("c", "m", pointer="/answers"), "/answers: error: m [c]"),
        (Problem("c", "m"), "m"),
    ],
)
def test_a_problem_reads_as_one_line(problem: Problem, wanted: str) -> None:
    assert str(problem) == wanted


@pytest.mark.parametrize("kind", [ProblemsError, RuleBookError, CaseError])
def test_an_error_carries_all_problems_sorted(kind: type[ProblemsError]) -> None:
    error = kind(iter([at("b", 1), at("a", 1), at("b", 1)]))
    assert isinstance(error, FeatheredgeError)
    assert error.problems == (at("a", 1), at("b", 1))
    assert str(error) == "2 problem(s)"
