"""Random rules for random books: one legal rule at a time, over conclusions in a random order.

A rule reads only conclusions that stand before all it writes, so there is no circle. Each
conclusion has a *lean*: +1 if concluding more of it is more careful, -1 if less, 0 if it stands on
nothing that leans. In careful books a rule writes conclusions of one lean and reads a leaning one
only the way that keeps it.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from random import Random

from cds.rulebook.book import Basis, Book, Evidence, Phase, Rule, Write
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source
from cds.vocabulary.model import Careful, Combine, Conclusion, Feature, Finding, Scope
from cds.vocabulary.values import Op

PREPARE_WRITES = (
    "cards", "exercises", "cautions", "retest", "safety_net", "education", "consent_points",
    "information",
)  # fmt: skip
"""What prepare rules may conclude."""

WRITE_ONLY = (*PREPARE_WRITES, "next_step")
"""Never read in random books, so anything may be concluded of anything."""

PREPARE_READS = ("limit", "target")
"""Only prepare rules may read these."""

BEARING = ("care_today", "referral", "concern", "limit", "limit")
"""Written more often than other conclusions."""

DECIDER = "main_side"
"""The finding whose disjoint answers keep writers of a `single` conclusion apart."""

UPWARD = (Op.AT_LEAST, Op.MORE_THAN)
DOWNWARD = (Op.AT_MOST, Op.LESS_THAN)


class RuleMaker:
    """Makes rules for one book."""

    def __init__(self, rng: Random, book: Book, careful: bool) -> None:
        self.rng = rng
        self.book = book
        self.careful = careful
        names = [name for name in book.conclusions if name not in WRITE_ONLY]
        rng.shuffle(names)
        self.rank = {name: place for place, name in enumerate((*names, *WRITE_ONLY))}
        self.lean = {name: self._lean(book.conclusions[name]) for name in names}

    def _lean(self, conclusion: Conclusion) -> int:
        if conclusion.careful is Careful.MORE:
            return 1
        if conclusion.careful is Careful.LESS:
            return -1
        if conclusion.combine in (Combine.FLAG, Combine.SET):
            return self.rng.choice((-1, 0, 1))
        return 0

    def rule(self, name: str) -> Rule:
        """One rule."""
        rng = self.rng
        phase = Phase.PREPARE if rng.random() < 0.15 else Phase.JUDGE
        for_each = rng.choice(
            ((), (), (), (), ("segment",), ("segment",), ("side",), ("segment", "side"))
        )
        written = self._written(phase, "segment" in for_each)
        lean = next((self.lean[c] for c in written if c in self.lean), rng.choice((-1, 0, 1)))
        maker = _ConditionMaker(self, for_each, phase, lean, min(self.rank[c] for c in written))
        when = maker.condition(rng.randint(0, 3), 1)
        single = any(self._entry(c).combine is Combine.SINGLE for c in written)
        side = "{side}" if "side" in for_each else "none"
        if single:
            decides = Leaf(Source.FINDING, DECIDER, Op.IS, (side,))
            when = Members(Group.ALL, (decides, when))
        then = tuple(self._write(c, "segment" in for_each, side) for c in written)
        holds = tuple(held for write in then if rng.random() < 0.6 for held in self._hold(write))
        limits = any(write.conclusion == "limit" for write in then)
        return Rule(
            id=name, title=name, topic="random", when=when, then=then, holds=holds,
            because="invented", evidence=(Evidence(common_practice="invented for a test"),),
            owner="nobody", approved=None, review_by=date(2027, 1, 1), phase=phase,
            basis=Basis.PRECAUTION if limits else None, for_each=for_each,
        )  # fmt: skip

    def _entry(self, name: str) -> Conclusion:
        return self.book.conclusions[name]

    def _written(self, phase: Phase, of_level: bool) -> list[str]:
        """One to three conclusions that may stand together in one `then`."""
        allowed = [
            name
            for name in self.book.conclusions
            if (of_level or Scope.CASE in self._entry(name).scopes)
            and (name in PREPARE_WRITES) >= (phase is Phase.PREPARE)
            and (phase is Phase.PREPARE or not self._entry(name).prepare_only)
        ]
        # what bears on care comes twice as often as the rest
        first = self.rng.choice(allowed + [name for name in BEARING if name in allowed])
        found = [first]
        for name in self.rng.sample(allowed, min(2, len(allowed))):
            together = not self.careful or (
                name in WRITE_ONLY or first in WRITE_ONLY or self.lean[name] == self.lean[first]
            )
            if together and name not in found and self.rng.random() < 0.4:
                found.append(name)
        leans = {self.lean[name] for name in found if name in self.lean}
        return found if not self.careful or len(leans) <= 1 else [first]

    def _write(self, name: str, of_level: bool, side: str) -> Write:
        rng = self.rng
        entry = self._entry(name)
        reach = "case"
        if of_level and Scope.SEGMENT in entry.scopes:
            reaches = ["segment", "segment"]
            if Scope.CASE in entry.scopes:
                reaches.append("case")
            if name == "limit":
                reaches.append("adjacent")
            reach = rng.choice(reaches)
        key = rng.choice(entry.keys) if entry.keys else None
        if entry.combine is Combine.FLAG:
            return Write(name, "yes", key, reach)
        if entry.combine is Combine.SINGLE:
            return Write(name, side, key, reach)
        values = entry.values_of(key)
        if self.careful and name == "target":
            values = values[1:]  # below what holds anyway, more would be less
        within = "today" if name == "referral" else None
        return Write(name, rng.choice(values), key, reach, within)

    def _hold(self, write: Write) -> list[Write]:
        """What may be held: careful scales only, never stricter than `then`."""
        entry = self._entry(write.conclusion)
        if entry.careful is not Careful.MORE:
            return []
        values = entry.values_of(write.key)
        place = values.index(write.value)
        milder = values[place:] if entry.combine is Combine.LOWEST else values[: place + 1]
        value = self.rng.choice(milder)
        return [Write(write.conclusion, value, write.key, write.reach, write.within)]


class _ConditionMaker:
    """The condition of one rule."""

    def __init__(
        self, maker: RuleMaker, for_each: tuple[str, ...], phase: Phase, lean: int, below: int
    ) -> None:
        self.rng = maker.rng
        self.book = maker.book
        self.careful = maker.careful and phase is Phase.JUDGE
        self.leans = maker.lean
        self.segment = "segment" in for_each
        self.sided = "side" in for_each
        self.prepare = phase is Phase.PREPARE
        self.lean = lean
        self.reads = [
            name
            for name in maker.lean
            if maker.rank[name] < below
            and (self.prepare or name not in PREPARE_READS)
            and (self.segment or Scope.CASE in self.book.conclusions[name].scopes)
            and (not self.careful or self.leans[name] == 0 or lean != 0)
        ]
        self.findings = [entry for entry in self.book.findings.values() if self._near(entry.name)]
        self.features = [
            entry
            for entry in self.book.features.values()
            if self._near(entry.name) and (self.prepare or "path" not in entry.name)
        ]

    def _near(self, name: str) -> bool:
        return self.segment or not name.startswith("segment.")

    def condition(self, depth: int, sign: int) -> Condition:
        """A leaf or group; `sign` is -1 under an odd number of `none`."""
        rng = self.rng
        if depth == 0 or rng.random() < 0.15:
            return self._leaf(sign)
        group = rng.choice(tuple(Group))
        inner = -sign if group is Group.NONE else sign
        size = rng.randint(1, 3) + (group is Group.SOME)
        members = [self.condition(depth - 1, inner) for _ in range(size)]
        if rng.random() < 0.05:
            members.append(members[0])
        at_least = rng.randint(1, len(members)) if group is Group.SOME else 0
        return Members(group, tuple(members), at_least)

    def _leaf(self, sign: int) -> Condition:
        kind = self.rng.random()
        if kind < 0.3 and self.reads:
            return self._conclusion(self.rng.choice(self.reads), sign)
        if kind < 0.36:
            return self._policy()
        if kind < (0.6 if self.prepare else 0.42):
            return self._test(Source.FEATURE, self.rng.choice(self.features))
        return self._test(Source.FINDING, self.rng.choice(self.findings))

    def _policy(self) -> Leaf:
        if self.rng.random() < 0.5:
            return Leaf(Source.POLICY, "early", self.rng.choice((Op.IS, Op.IS_NOT)), ("acute",))
        limit = self.rng.randint(1, 8)
        op = self.rng.choice((*UPWARD, *DOWNWARD))
        return Leaf(Source.POLICY, "session", op, (str(limit),), Decimal(limit))

    def _test(self, source: Source, entry: Finding | Feature) -> Leaf:
        rng = self.rng
        if rng.random() < 0.08:
            return Leaf(source, entry.name, Op.KNOWN)
        if entry.numeric:
            low, high = entry.steps(entry.low or Decimal(0)), entry.steps(entry.high or Decimal(9))
            number = entry.number(rng.randint(low or 0, high or 9))
            op = rng.choice((*UPWARD, *DOWNWARD))
            return Leaf(source, entry.name, op, (str(number),), number)
        words: tuple[str, ...] = entry.values
        if entry.mirror:
            words = ("none", "{side}", "{other_side}") if self.sided else ("none",)
        ops = [Op.IS, Op.IS, Op.IS_NOT, Op.IN]
        if entry.ordered:
            ops += [*UPWARD, *DOWNWARD]
        op = rng.choice(ops)
        count = rng.randint(1, len(words)) if op is Op.IN else 1
        return Leaf(source, entry.name, op, tuple(rng.sample(words, count)))

    def _conclusion(self, name: str, sign: int) -> Condition:
        rng = self.rng
        entry = self.book.conclusions[name]
        key = rng.choice(entry.keys) if entry.keys else None
        written = f"{name}.{key}" if key else name
        here = self.segment and Scope.SEGMENT in entry.scopes
        if here and (Scope.CASE not in entry.scopes or rng.random() < 0.6):
            written = f"segment.{written}"
        # +1: true the sooner, the more is concluded
        way = rng.choice((-1, 1))
        if self.careful and self.leans[name] != 0:
            way = self.leans[name] * self.lean * sign
        if entry.combine in (Combine.WORST, Combine.HIGHEST, Combine.LOWEST):
            rising = way if entry.combine is not Combine.LOWEST else -way
            op = rng.choice(UPWARD if rising > 0 else DOWNWARD)
            return Leaf(Source.CONCLUSION, written, op, (rng.choice(entry.values_of(key)),))
        leaf = self._member(entry, written)
        return leaf if way > 0 else Members(Group.NONE, (leaf,))

    def _member(self, entry: Conclusion, written: str) -> Condition:
        rng = self.rng
        if entry.combine is Combine.FLAG:
            return Leaf(Source.CONCLUSION, written, Op.HOLDS)
        if entry.combine is Combine.SINGLE:
            words = ("none", "{side}", "{other_side}") if self.sided else ("none",)
            op = rng.choice((Op.IS, Op.IN, Op.IS_NOT))
            count = rng.randint(1, len(words)) if op is Op.IN else 1
            return Leaf(Source.CONCLUSION, written, op, tuple(rng.sample(words, count)))
        ops = (Op.HAS, Op.HAS_ANY_OF, Op.EMPTY)
        op = rng.choice(ops)
        if op is Op.EMPTY:
            empty = Leaf(Source.CONCLUSION, written, op)
            return Members(Group.NONE, (empty,))
        count = rng.randint(1, 3) if op is Op.HAS_ANY_OF else 1
        return Leaf(Source.CONCLUSION, written, op, tuple(rng.sample(entry.values, count)))
