"""What can be shown as information for a case, by key: the closed list, and all of it computed.

A rule book says when a key is shown and with which words; no judge rule ever reads a figure.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from cds.features.figures import (
    Figure,
    Values,
    childs,
    downie,
    flynn,
    fritz,
    henschke,
    malignancy,
    myelopathy,
)
from cds.features.figures_scores import (
    disability,
    fear_avoidance,
    loose_joints,
    pain,
    risk_questionnaire,
    roland_morris,
)
from cds.features.record import Record

Compute = Callable[[Record, Values], Figure | None]


def _of_values(compute: Callable[[Values], Figure | None]) -> Compute:
    return lambda record, values: compute(values)


FIGURES: Mapping[str, Compute] = MappingProxyType(
    {
        "disability": disability,
        "roland-morris": roland_morris,
        "pain": pain,
        "fear-avoidance": fear_avoidance,
        "risk-questionnaire": risk_questionnaire,
        "loose-joints": loose_joints,
        "flynn": _of_values(flynn),
        "fritz": _of_values(fritz),
        "childs": _of_values(childs),
        "henschke": _of_values(henschke),
        "downie": _of_values(downie),
        "malignancy": _of_values(malignancy),
        "myelopathy": _of_values(myelopathy),
    }
)
"""Key -> computation, in the order of showing."""


def figures(record: Record, values: Values) -> dict[str, Figure]:
    """Every figure that has something to say."""
    found = {key: compute(record, values) for key, compute in FIGURES.items()}
    return {key: figure for key, figure in found.items() if figure is not None}
