"""What the figures are held against. Common practice throughout, for clinical sign-off."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median

from cds.assure.burden.dialogue import Count
from cds.assure.burden.measure import FIRST, LATER, Measured

ANSWERS_FIRST = 24
ANSWERS_FOLLOW_UP = 5
ANSWERS_FOLLOW_UP_LEG = 6
ANSWERS_THRUST_MORE = 3
INTERRUPTED = 0.05
URGENT_FIRST = 0.03
URGENT_FOLLOW_UP = 0.005
UNSETTLED = 0.02


@dataclass(frozen=True, slots=True)
class Goal:
    """One figure against its goal. `count` of `of` for a share, else `value` of answers."""

    title: str
    at_most: float
    value: float
    count: int | None = None
    of: int | None = None

    @property
    def met(self) -> bool:
        """Whether the figure itself (not its interval) is within the goal."""
        return self.value <= self.at_most


def middle(counts: list[Count]) -> float:
    """The median of answers as asked; 0 when there were none."""
    return float(median(count.asked for count in counts)) if counts else 0.0


def goals(found: Measured) -> list[Goal]:
    """Every goal with its figure, in the order of the report."""
    first, later = found.asked[FIRST], found.asked[LATER]
    listed = [
        Goal("First visit: answers before hands-on care (median)", ANSWERS_FIRST,
             middle(first.hands_on)),
        Goal("First visit: answers until today's path is settled (median)", ANSWERS_FIRST,
             middle(first.settled)),
        Goal("Follow-up: answers before hands-on care (median)", ANSWERS_FOLLOW_UP,
             middle(later.hands_on)),
        Goal("Follow-up without leg symptoms: answers until today's path is settled (median)",
             ANSWERS_FOLLOW_UP, middle(later.without_leg)),
        Goal("Follow-up with leg symptoms: answers until today's path is settled (median)",
             ANSWERS_FOLLOW_UP_LEG, middle(later.with_leg)),
        Goal("Follow-up: answers before thrust is settled (median)",
             ANSWERS_FOLLOW_UP + ANSWERS_THRUST_MORE, middle(later.thrust)),
    ]  # fmt: skip
    for kind in (FIRST, LATER):
        rates = found.rates[kind]
        title = f"{kind.capitalize()}s interrupted or unsettled"
        listed.append(_share(title, INTERRUPTED, rates.either, rates.visits))
    for kind, limit in ((FIRST, URGENT_FIRST), (LATER, URGENT_FOLLOW_UP)):
        rates = found.rates[kind]
        title = f"{kind.capitalize()}s referred urgently or worse"
        listed.append(_share(title, limit, rates.urgent, rates.visits))
    for kind in (FIRST, LATER):
        rates = found.rates[kind]
        title = f"{kind.capitalize()}s unsettled once everything owed was answered"
        listed.append(_share(title, UNSETTLED, rates.unsettled, rates.visits))
    return listed


def _share(title: str, at_most: float, count: int, of: int) -> Goal:
    return Goal(title, at_most, count / of if of else 0.0, count, of)
