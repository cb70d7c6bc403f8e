"""A smallest set of answers that would settle a case, in the most favourable direction.

Wanted: as few answers as can be (the questions of one block are one) after which the status is
`settled`, at the mildest care and urgency and with the highest rung that any answers leave open.
They are answers that *would* settle it, if they are the patient's; they are never to be presumed.

First a greedy way, from which everything needless is dropped: an upper bound. Then a search that
looks for less: at every case on the way some set of inputs must still be touched
(`cds.whatif.goal`), and the answers that touch it are tried one after the other; sets that share no
answer count how many more are needed at least. What the search ends on is `proved`. Where it would
take too long, or older answers might be set aside on the way, the set is a small one, and
`at_least` says how small one could be.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypedDict

from cds.decide import Decider
from cds.explain.headline import STOPPED
from cds.vocabulary.case import Case
from cds.vocabulary.model import Finding
from cds.whatif.asks import Ask, Memo, Option, asks
from cds.whatif.cones import Reach
from cds.whatif.effects import State, state
from cds.whatif.goal import Goal, Goals
from cds.whatif.look import Look, look
from cds.whatif.replies import AND_THRUST, Entry, Reply, SaidJson, said_json, told
from cds.whatif.unmoved import may_lapse

LOOKS = 400
"""Cases judged at most by the search for less."""

FALLBACK, FALLBACK_SIZE = 100, 3
"""Cases judged, and answers, at most in looking for any set where the favourable way has none."""

STEPS = 150
"""Answers at most on the greedy way; more than any book asks."""


class SettlingAnswer(TypedDict):
    """One answer of the set."""

    question: str
    ask: str
    title: str
    answer: str
    says: list[SaidJson]


class Settling(TypedDict):
    """A smallest set. `possible` is false where no set was found.

    `proved`: nothing smaller settles it as well. Else `at_least` answers are needed in any case.
    `first`: what is owed and cannot be answered here, such as the list of levels.
    """

    possible: bool
    answers: list[SettlingAnswer]
    proved: bool
    at_least: int
    then: State
    first: list[str]
    note: str


IF = (
    "These answers would settle the visit if they are the patient's. They are to be asked and "
    "examined, never presumed."
)
NEVER = (
    "No answer to an open question settles this visit with hands-on care as open as it could be."
)
ALREADY = "Nothing more has to be answered."

WITH_LEVELS = ("before_session", "during_session")
"""Moments at which hands-on care may be settled, which needs the levels listed."""

Given = tuple[tuple[Ask, Option], ...]


@dataclass(slots=True)
class _Best:
    given: Given
    left: int = LOOKS
    ran_out: bool = False


class Settler:
    """Searches on one program."""

    def __init__(self, decider: Decider) -> None:
        self.memo: Memo = {}
        self.decider = decider
        self.goals = Goals(decider)
        self.reach = Reach(decider.program, decider.vocabulary)

    def settle(self, case: Case, looks: int = LOOKS) -> Settling:
        """A smallest set for the case. `looks` bounds the search for less (0: the greedy set)."""
        self.memo = {}
        start = self._look(case)
        if case.segments is None and case.moment in WITH_LEVELS:
            return self._written(start, (), start, NEVER, False, False, 0)
        given, end = self._greedy(start)
        if not self.goals.settles(end, self.goals.reached(end)):
            anyhow = self._anyhow(start, looks)
            if anyhow is None:
                return self._written(start, (), end, NEVER, False, False, 0)
            given = anyhow
            end = self._after(start, given)
        goal = self.goals.reached(end)
        given = self._without_needless(start, given, goal)
        best = _Best(given, looks)
        low = self._at_least(start, goal, frozenset(), asks(self.decider, start, self.memo))
        size = low
        while size < len(best.given) and not best.ran_out:
            # one size after the other: the first that has a set is the smallest
            found = self._search(start, goal, (), size, frozenset(), best)
            if found is not None:
                best.given = found
                break
            size += 0 if best.ran_out else 1
        end = self._after(start, best.given)
        sure = not best.ran_out and goal == self.goals.bound(start)
        sure = sure and not may_lapse(self.decider, start)
        note = IF if best.given else ALREADY
        return self._written(start, best.given, end, note, True, sure, size)

    # ------------------------------------------------------------ an upper bound
    def _greedy(self, start: Look) -> tuple[Given, Look]:
        """Answers to what is in the way, each the one that keeps most open."""
        here = start
        given: Given = ()
        done: set[str] = set()
        for _ in range(STEPS):
            bound = self.goals.bound(here)
            if here.status == STOPPED or self.goals.settles(here, bound):
                break
            open_asks = [
                a for a in asks(self.decider, here, self.memo) if a.can and a.key not in done
            ]
            needed = self.goals.needed(here, bound)
            useful = [
                sorted_asks
                for inputs in needed
                if (sorted_asks := [a for a in open_asks if self.reach.touches(a, inputs)])
            ]
            if not useful:
                break
            ask = min(useful, key=len)[0]
            option, here = self._favourable(here, ask, bound)
            done.add(ask.key)
            given = (*given, (ask, option))
        return given, here

    def _anyhow(self, start: Look, looks: int) -> Given | None:
        """A small set that settles the case in whatever direction, where the favourable way ended
        in none."""
        best = _Best((), min(looks, FALLBACK))
        for size in range(1, FALLBACK_SIZE + 1):
            found = self._search(start, self.goals.worst, (), size, frozenset(), best)
            if found is not None or best.ran_out:
                return found
        return None

    def _favourable(self, here: Look, ask: Ask, bound: Goal) -> tuple[Option, Look]:
        """The first answer, the least adverse first, that keeps everything open that was."""
        best: tuple[tuple[bool, Goal, Goal, int], Option, Look] | None = None
        for option in self._mildest_first(ask):
            found = self._look(told(self.decider.vocabulary, here.case, option.said))
            lost = found.status == STOPPED
            if not lost and self.goals.bound(found) <= bound:
                return option, found
            rank = (lost, self.goals.bound(found), self.goals.reached(found), len(found.owed))
            if best is None or rank < best[0]:
                best = (rank, option, found)
        assert best is not None
        return best[1], best[2]

    def _mildest_first(self, ask: Ask) -> list[Option]:
        places = {id(option): place for place, option in enumerate(ask.options)}
        return sorted(ask.options, key=lambda option: (self._adverse(option), places[id(option)]))

    def _adverse(self, option: Option) -> float:
        """How adverse an answer is: words by being so, numbers by how far they lean that way."""
        worst = 0.0
        for one in option.said:
            if isinstance(one, Entry):
                worst = max(worst, 0.0 if one.value == AND_THRUST else 0.5)
                continue
            worst = max(worst, self._lean(one, self.decider.program.findings[one.finding], option))
        return worst

    def _lean(self, reply: Reply, finding: Finding, option: Option) -> float:
        if option.number is None:
            words = set(getattr(reply.value, "options", ()))
            return 2.0 if words & {*finding.adverse} else 0.0
        if finding.adverse == ("down",):
            return -option.number / 1e6
        return option.number / 1e6

    def _without_needless(self, start: Look, given: Given, goal: Goal) -> Given:
        """The set without what it does not need, one answer after another, the latest first."""
        for place in reversed(range(len(given))):
            fewer = given[:place] + given[place + 1 :]
            if self.goals.settles(self._after(start, fewer), goal):
                given = fewer
        return given

    # ------------------------------------------------------------ the search for less
    def _search(
        self,
        here: Look,
        goal: Goal,
        given: Given,
        left: int,
        barred: frozenset[str],
        best: _Best,
    ) -> Given | None:
        """A way to the goal with at most `left` more answers; None where there is none.

        `barred`: questions whose answers were tried beside this branch, so that no set comes twice.
        """
        if self.goals.settles(here, goal):
            return given
        if left == 0 or self.goals.lost(here, goal):
            return None
        done = {ask.key for ask, _ in given}
        open_asks = [
            ask
            for ask in asks(self.decider, here, self.memo)
            if ask.can and ask.key not in barred and ask.key not in done
        ]
        sets = self._sets(here, goal, open_asks)
        if any(not members for members in sets) or _disjoint(sets) > left:
            return None
        tried = barred
        for ask in min(sets, key=len):
            for option in self._mildest_first(ask):
                if best.left <= 0:
                    best.ran_out = True
                    return None
                best.left -= 1
                way = (*given, (ask, option))
                found = self._search(
                    self._look(told(self.decider.vocabulary, here.case, option.said)),
                    goal, way, left - 1, tried, best,
                )  # fmt: skip
                if found is not None or best.ran_out:
                    return found
            tried = tried | {ask.key}
        return None

    def _at_least(
        self, here: Look, goal: Goal, barred: frozenset[str], open_asks: list[Ask]
    ) -> int:
        if self.goals.settles(here, goal):
            return 0
        return max(1, _disjoint(self._sets(here, goal, [a for a in open_asks if a.can])))

    def _sets(self, here: Look, goal: Goal, open_asks: list[Ask]) -> list[list[Ask]]:
        """For each set of inputs that must be touched: the questions that could."""
        return [
            [ask for ask in open_asks if self.reach.touches(ask, inputs)]
            for inputs in self.goals.needed(here, goal)
        ]

    # ------------------------------------------------------------ pieces
    def _look(self, case: Case) -> Look:
        return look(self.decider, case)

    def _after(self, start: Look, given: Given) -> Look:
        case = start.case
        for _, option in given:
            case = told(self.decider.vocabulary, case, option.said)
        return self._look(case)

    def _written(
        self,
        start: Look,
        given: Given,
        end: Look,
        note: str,
        possible: bool,
        proved: bool,
        at_least: int,
    ) -> Settling:
        vocabulary = self.decider.vocabulary
        return {
            "possible": possible,
            "answers": [
                {
                    "question": ask.key,
                    "ask": ask.ask,
                    "title": ask.title,
                    "answer": option.words,
                    "says": [said_json(vocabulary, one) for one in option.said],
                }
                for ask, option in given
            ],
            "proved": proved,
            "at_least": at_least,
            "then": state(end if possible else start),
            "first": [
                ask.ask for ask in asks(self.decider, end, self.memo) if ask.owed and not ask.can
            ],
            "note": note,
        }


def _disjoint(sets: list[list[Ask]]) -> int:
    """How many of the sets share no question with another chosen one, the small ones first."""
    taken: set[str] = set()
    count = 0
    for members in sorted(sets, key=len):
        keys = {ask.key for ask in members}
        if not keys & taken:
            taken |= keys
            count += 1
    return count
