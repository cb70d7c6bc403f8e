from cds.problems import Place, Problem, Severity
from cds.rulebook.printing import print_problems, problems_json

LATE = Problem("cycle", "a circle", Place("b.yaml", 2, 3), help="break it")
EARLY = Problem("never-cited", "not cited", Place("a.yaml", 1, 1), severity=Severity.WARNING)
TEXTS = {"a.yaml": "one\n", "b.yaml": "one\ntwo three\n"}


def test_nothing_to_say() -> None:
    assert print_problems([], {}) == ""


def test_each_with_its_line_and_marker_then_the_count() -> None:
    assert print_problems([LATE, EARLY], TEXTS) == (
        "a.yaml:1:1: warning: not cited [never-cited]\n"
        "    one\n"
        "    ^\n"
        "\n"
        "b.yaml:2:3: error: a circle [cycle]\n"
        "    two three\n"
        "      ^\n"
        "help: break it\n"
        "\n"
        "1 error, 1 warning\n"
    )


def test_without_the_text_the_place_stands_alone() -> None:
    assert print_problems([LATE], {}) == (
        "b.yaml:2:3: error: a circle [cycle]\nhelp: break it\n\n1 error, 0 warnings\n"
    )


def test_as_json() -> None:
    assert problems_json([LATE, EARLY]) == [
        {"code": "never-cited", "severity": "warning", "message": "not cited", "file": "a.yaml",
         "line": 1, "column": 1},
        {"code": "cycle", "severity": "error", "message": "a circle", "help": "break it",
         "file": "b.yaml", "line": 2, "column": 3},
    ]  # fmt: skip
