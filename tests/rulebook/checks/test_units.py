import pytest

from cds.rulebook.checks.units import UNITS, check
from tests.rulebook.checks.books import book_with


@pytest.mark.parametrize("unit", ["Cel", "mm[Hg]", "{points}", "{visits/month}", '"1"', "kg/m2"])
def test_known(unit: str) -> None:
    assert list(check(book_with(_finding(unit)))) == []


@pytest.mark.parametrize(
    ("unit", "help"),
    [
        ("celsius", None),
        ("mmHg", None),
        ("KG", "did you mean `kg`?"),
        ("{no points}", None),
        ("points", None),
    ],
)
def test_unknown(unit: str, help: str | None) -> None:
    (found,) = check(book_with(_finding(unit)))
    assert found.code == "unknown-unit"
    assert unit in found.message
    if help is not None:
        assert found.help == help


def test_the_list_has_no_words() -> None:
    assert not {"years", "days", "points", "degrees"} & UNITS


def _finding(unit: str) -> str:
    written = unit if unit.startswith('"') else f'"{unit}"'
    return (
        "findings:\n  warmth: {ask: Warmth, title: Warmth, kind: number, "
        f"unit: {written}, step: 0.1, range: [0, 50]}}\n"
    )
