"""The suggestion for a misspelt name."""

from __future__ import annotations

import pytest

from cds.rulebook.suggest import did_you_mean

KNOWN = ["saddle_sensation", "bladder_function", "bowel_function", "pain", "gain"]


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("sadle_sensation", "saddle_sensation"),
        ("saddle_sensatoin", "saddle_sensation"),
        ("saddle-sensation", "saddle_sensation"),
        ("Bladder_Function", "bladder_function"),
        ("pian", "pain"),
        ("xain", "gain"),
        ("pain", None),
        ("reflexes", None),
        ("", None),
        ("p", None),
        ("pain" * 100, None),
    ],
)
def test_suggests_the_nearest_or_nothing(name: str, wanted: str | None) -> None:
    assert did_you_mean(name, KNOWN) == wanted


def test_order_of_the_known_names_does_not_show() -> None:
    assert did_you_mean("xain", KNOWN) == did_you_mean("xain", reversed(KNOWN))
