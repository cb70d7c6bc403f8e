from dataclasses import replace

from cds.rulebook.book import VisitPart
from cds.rulebook.checks.visit import check
from tests.rulebook.checks.books import book_with

TOLD = VisitPart("told", "What is told", "asked", ("leg_block", "saddle_sensation"))
SEEN = VisitPart("seen", "What is seen", "examined", ("leg_power",))


def test_each_finding_once() -> None:
    assert list(check(replace(book_with(), visit=(TOLD, SEEN)))) == []


def test_a_book_need_not_say_how_a_visit_goes() -> None:
    assert list(check(replace(book_with(), visit=()))) == []


def test_a_finding_in_two_places_is_told_by_name_and_by_block() -> None:
    again = replace(SEEN, asks=("leg_power", "saddle_sensation", "leg_symptoms"))
    found = [problem.message for problem in check(replace(book_with(), visit=(TOLD, again)))]
    assert found == [
        "`saddle_sensation` is asked in `told` and again in `seen`",
        "`leg_symptoms` is asked in `told` and again in `seen`",
    ]
