from dataclasses import replace

from cds.rulebook.book import Book
from cds.rulebook.checks.positional import check
from tests.rulebook.checks.books import book_with


def changed(which: int, **change: object) -> Book:
    book = book_with()
    rows = tuple(
        replace(row, **change) if row.number == which else row  # type: ignore[arg-type]
        for row in book.positional
    )
    return replace(book, positional=rows)


def test_the_base_is_whole_and_symmetric() -> None:
    assert list(check(book_with())) == []


def test_a_missing_row_is_named() -> None:
    book = book_with()
    rest = tuple(row for row in book.positional if row.number != 14)
    assert [problem.message for problem in check(replace(book, positional=rest))] == [
        "the positional table lacks left, left, left"
    ]


def test_a_row_beyond_the_table() -> None:
    (problem,) = check(changed(27, number=28))
    assert problem.code == "positional-incomplete"
    assert problem.message == "row 28 is not one of 1 to 27"


def test_a_pair_is_told_once_at_its_later_row() -> None:
    for change in (
        {"pattern": "indeterminate"},
        {"extended_side": "right"},
        {"restricted": ("flexion", "rotation_left", "side_bending_right")},
        {"facet": "right_cannot_open"},
    ):
        (problem,) = check(changed(10, **change))
        assert problem.message == "row 19 is not the mirror of row 10"


def test_a_row_that_is_its_own_mirror() -> None:
    (problem,) = check(changed(1, flexed_side="left"))
    assert problem.message == "row 1 is not the mirror of row 1"


def test_the_order_of_restricted_motions_has_no_meaning() -> None:
    turned = ("side_bending_right", "flexion", "rotation_right")
    assert list(check(changed(10, restricted=turned))) == []
