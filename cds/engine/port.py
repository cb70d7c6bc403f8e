"""The port every evaluator implements."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from cds.rulebook.program import Program
from cds.vocabulary.inputs import Inputs as Inputs  # features make them, engines read them


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
