"""Wilson's interval for a proportion: honest also for rare events and small numbers."""

from __future__ import annotations

from math import sqrt

Z = 1.959964
"""The normal quantile of a two-sided 95 % interval."""


def wilson(count: int, of: int, z: float = Z) -> tuple[float, float]:
    """Low and high end of the proportion `count` / `of`, 0 to 1; (0, 1) where `of` is 0."""
    if of == 0:
        return (0.0, 1.0)
    share = count / of
    base = 1 + z * z / of
    middle = share + z * z / (2 * of)
    spread = z * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return (max(0.0, (middle - spread) / base), min(1.0, (middle + spread) / base))
