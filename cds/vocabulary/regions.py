"""Regions of the spine: where a level belongs, and which levels a consent for a region covers.

A consent names its region in the record's own words. One for the low back does not cover the
thoracic levels that this book also names; one for the thoracolumbar region is read as the junction,
the more careful reading (common practice).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cds.vocabulary.model import LEVELS

THORACIC, LUMBAR = "thoracic", "lumbar"

_FIRST_LUMBAR = LEVELS.index("L1")

CONSENTED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        THORACIC: LEVELS[:_FIRST_LUMBAR],
        LUMBAR: LEVELS[_FIRST_LUMBAR:],
        "thoracolumbar": LEVELS[: _FIRST_LUMBAR + 2],
    }
)
"""The levels that a consent for each region covers. A consent for any other region covers none."""


def region_of(level: str) -> str:
    """`thoracic` or `lumbar` (which has the sacrum); the unnamed level is of the low back."""
    return THORACIC if level in CONSENTED[THORACIC] else LUMBAR
