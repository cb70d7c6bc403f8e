"""What one evaluation is given: grounded values, and the levels that exist."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from cds.vocabulary.values import Input


@dataclass(frozen=True, slots=True)
class Inputs:
    """Grounded inputs of one evaluation.

    `values`: input name -> value or NOT_APPLICABLE; a name that is missing is unknown. Path inputs
    (`path.*`) are present only in the second, preparing evaluation. `levels`: the listed levels
    (`T10` … `S1`, or `unnamed`); instances of every other level do not exist (quiet).
    """

    values: Mapping[str, Input]
    levels: frozenset[str]
