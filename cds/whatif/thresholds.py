"""Which numbers are worth trying: the ends of every interval within which no test can differ.

Rules test limits, which the program's leaves carry; features turn a number into words at limits of
their own, which are found by computing them. A short scale is tried whole.
"""

from __future__ import annotations

from collections.abc import Callable

from cds.rulebook.program import Program
from cds.vocabulary.model import Finding
from cds.vocabulary.values import Op

WHOLE = 24
"""A scale with at most so many steps is tried value by value."""

Seen = Callable[[int], object]
"""What everything but the number itself looks like with this number of steps."""


def cuts(program: Program, name: str) -> set[int]:
    """Where an interval begins, by the tests of rules on this grounded input."""
    found: set[int] = set()
    for leaf in program.leaves:
        if leaf.input != name or leaf.limit is None:
            continue
        if leaf.op in (Op.AT_LEAST, Op.LESS_THAN):
            found.add(leaf.limit)
        elif leaf.op in (Op.MORE_THAN, Op.AT_MOST):
            found.add(leaf.limit + 1)
    return found


def worth_trying(low: int, high: int, begins: set[int], seen: Seen) -> list[int]:
    """The numbers to try from `low` to `high`: both ends of every interval.

    `seen` tells intervals apart that no test of a rule does. Between two ends that look alike
    everything is taken to look alike: features that turn a number into words do so in order.
    """
    if high - low < WHOLE:
        return list(range(low, high + 1))
    starts = sorted({low, *(cut for cut in begins if low < cut <= high)})
    for first, last in zip(tuple(starts), [*(s - 1 for s in starts[1:]), high], strict=True):
        starts += _changes(first, last, seen(first), seen(last), seen)
    starts.sort()
    return sorted({*starts, *(start - 1 for start in starts[1:]), high})


def _changes(first: int, last: int, at_first: object, at_last: object, seen: Seen) -> list[int]:
    """Where what is seen becomes another between two numbers."""
    if at_first == at_last:
        return []
    if first + 1 == last:
        return [last]
    middle = (first + last) // 2
    at_middle = seen(middle)
    return [
        *_changes(first, middle, at_first, at_middle, seen),
        *_changes(middle, last, at_middle, at_last, seen),
    ]


def ends(finding: Finding) -> tuple[int, int] | None:
    """The plausible range in whole steps; None where the finding has none."""
    if finding.low is None or finding.high is None:
        return None
    low, high = finding.steps(finding.low), finding.steps(finding.high)
    return None if low is None or high is None else (low, high)
