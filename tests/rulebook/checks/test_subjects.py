from cds.problems import Place, Severity
from cds.rulebook.check_codes import CHECK_CODES, WARNINGS
from cds.rulebook.checks.subjects import (
    Slot,
    concluded,
    conclusion_leaves,
    finding_condition,
    measured,
    problem,
    slot_read,
    slot_written,
    spoken,
    writes,
)
from cds.rulebook.conditions import Leaf, Source
from cds.vocabulary.values import Op
from tests.rulebook.checks.books import book_with


def leaf(source: Source, name: str) -> Leaf:
    return Leaf(source, name, Op.KNOWN)


def test_names_of_slots() -> None:
    read = slot_read(leaf(Source.CONCLUSION, "segment.limit.thrust"))
    assert read == Slot("limit", "thrust", True)
    assert str(read) == "segment.limit.thrust"
    assert slot_read(leaf(Source.CONCLUSION, "care_today")) == Slot("care_today", None, False)


def test_what_goes_to_neighbours_goes_to_levels() -> None:
    book = book_with()
    slots = [slot_written(write) for write in writes(book.rules["irritable-levels"])]
    assert slots == [
        Slot("limit", "mobilization", True),
        Slot("limit", "thrust", True),
        Slot("limit", "mobilization", True),
    ]


def test_sources_resolve_only_as_what_they_are_said_to_be() -> None:
    book = book_with()
    fall = measured(book, leaf(Source.FINDING, "fall"))
    assert fall is book.findings["fall"]
    assert measured(book, leaf(Source.FEATURE, "fall")) is None
    assert measured(book, leaf(Source.CONCLUSION, "irritable")) is None
    assert concluded(book, leaf(Source.CONCLUSION, "concern.fracture")) is not None
    assert concluded(book, leaf(Source.FINDING, "irritable")) is None


def test_leaves_that_read_conclusions() -> None:
    read = conclusion_leaves(book_with().rules["irritable-levels"])
    assert [found.name for found in read] == ["irritable"]


def test_applies_when() -> None:
    book = book_with()
    assert finding_condition(book.findings["fall"]) is None
    assert isinstance(finding_condition(book.findings["leg_power"]), Leaf)


def test_a_problem_has_the_severity_and_help_of_its_code() -> None:
    place = Place("a.yaml", 1, 1)
    for code in CHECK_CODES:
        found = problem(code, "message", place)
        assert found.help == CHECK_CODES[code][1]
        assert (found.severity is Severity.WARNING) is (code in WARNINGS)
    assert problem("cycle", "message", place, "other help").help == "other help"


def test_spoken() -> None:
    assert spoken(("one", "two")) == "`one`, `two`"
