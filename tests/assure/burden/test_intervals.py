from __future__ import annotations

import pytest

from cds.assure.burden.intervals import wilson


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        (0, 10, 0.0, 0.2775),
        (10, 10, 0.7225, 1.0),
        (5, 10, 0.2366, 0.7634),
        (15, 148, 0.0624, 0.1605),
    ],
)
def test_worked_by_hand(count: int, of: int, low: float, high: float) -> None:
    found = wilson(count, of)
    assert found == (pytest.approx(low, abs=5e-4), pytest.approx(high, abs=5e-4))


def test_nothing_counted_says_nothing() -> None:
    assert wilson(0, 0) == (0.0, 1.0)
