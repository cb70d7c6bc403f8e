"""The port every evaluator implements."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from cds.rulebook.program import Program
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


@dataclass(frozen=True, slots=True)
class Outcome:
    """Instance numbers, ascending: those whose condition is true, and those where it is unknown."""

    fired: tuple[int, ...]
    open: tuple[int, ...]


class Evaluator(Protocol):
    """An engine. Pure: the same Program and Inputs give the same Outcome."""

    program: Program

    def evaluate(self, inputs: Inputs) -> Outcome:
        """Fired and open instances. Prepare rules stay open or quiet until path inputs are
        given."""
        ...
