"""Which recorded answers still count on the as-of date.

The rules, finding by finding (and level by level):

- An adverse word stands, however old, until it is resolved on a later day than it was observed, in
  one of the finding's ways (`ends_by`; none named: any way). On one day nobody can tell which came
  first, so a resolution of the same day ends it only if it names that day (`observed`); naming an
  earlier one, it ends nothing later. Of several standing ones the worst counts where the values are
  ordered, else those of the latest day. After a resolution, only an answer from the resolved one's
  day onward counts.
- Otherwise the latest day's answer counts if it is in date: within `good_for`, and within the
  tighter period of every `with` whose finding is adverse, or might be: what is unknown shortens.
- It is void once an adverse answer to a finding of `voided_by` was observed on that day or later,
  resolved or not. Two answers of the as-of date itself were given knowing each other: not void.
- `confirmed_unchanged` renews an answer as of the day it was confirmed, within bounds: not where
  the finding or a `not_with` finding forbids it, at most `unchanged_days` after it was first asked
  and `unchanged_confirmations` times, within this episode, with no gap of sessions over `gap_days`.
  What is refused to the confirmation is left to the answer's own age.
- A number at or beyond its `positive_from` stands like an adverse word; of several the worst.
- Other numbers, and dates, have no adverse words: the latest day counts, while in date. Of one
  day's differing numbers the worse counts where a direction is adverse.
- Differing answers of one day are unknown (`conflicting`). A reason for missing counts when it is
  the latest; `not_asked` and `stale` say nothing against an older answer.
- How an answer was had does not matter here: a record entry has the day it was observed.
- `applies_when` false: not applicable, recorded values are set aside. Unknown: a recorded finding
  applies, an unrecorded one is unknown.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import cast

from cds.vocabulary.agreeing import agreed, worst
from cds.vocabulary.applies import applies
from cds.vocabulary.case import Answer, Case, Resolved
from cds.vocabulary.freshness import Freshness, Worry, adverse, worry
from cds.vocabulary.model import NAMELESS, Finding, Scope, at_level
from cds.vocabulary.values import NOT_APPLICABLE, Input, Missing, Tri, Value
from cds.vocabulary.vocabulary import SEGMENT, Vocabulary

WHY = {
    "expired": "older than such an answer is good for",
    "voided": "something happened since that may have changed it",
    "resolved": "resolved; not asked since",
    "unchanged_refused": "`unchanged` is not accepted for it now",
    "unchanged_too_often": "confirmed as unchanged too often",
    "unchanged_too_long": "first asked too long ago to be confirmed as unchanged",
    "unchanged_gap": "a gap between sessions, or another episode, since it was first asked",
    "does_not_apply": "the finding does not apply any more",
    "wrong_way": "resolved in a way that does not end it",
    "too_early": "not resolved after it was observed",
}
"""Why an answer was set aside."""

_SAYS_NOTHING = (Missing.NOT_ASKED, Missing.STALE)


@dataclass(frozen=True, slots=True)
class Used:
    """The answer that decided a value, and its age in days (from the day it was observed)."""

    answer: Answer
    age_days: int


@dataclass(frozen=True, slots=True)
class SetAside:
    """An answer that does not count: `why` is a key of `WHY`, `by` the finding that caused it."""

    name: str
    answer: Answer
    why: str
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """What is known of each finding now, by grounded name (`segment.mobility@L5`).

    Every finding stands in exactly one of `values` and `missing`. `used` has the deciding answer of
    every value that is not NOT_APPLICABLE. `stale`: answers that would have decided and no longer
    count. `rejected`: positives whose resolution was not accepted (they stand), and values of
    findings that do not apply.
    """

    values: dict[str, Input] = field(default_factory=dict)
    missing: dict[str, Missing] = field(default_factory=dict)
    used: dict[str, Used] = field(default_factory=dict)
    stale: list[SetAside] = field(default_factory=list)
    rejected: list[SetAside] = field(default_factory=list)


def stand(vocab: Vocabulary, case: Case) -> Standing:
    """What still counts of a case on its as-of date. Never raises for a checked case."""
    return _Ageing(vocab, case).run()


class _Ageing:
    """One run. Findings are settled on demand, because one may lean on another.

    Where two lean on each other, each sees the other as it would be with every doubt against it
    (`tight`), so that the order of findings has no meaning.
    """

    def __init__(self, vocab: Vocabulary, case: Case) -> None:
        self.vocab = vocab
        self.case = case
        self.standing = Standing()
        self.tight = False
        self.looking: set[str] = set()
        self.done: set[str] = set()
        self.fresh = Freshness(vocab, case)
        self.answers: dict[str, tuple[Answer, ...]] = dict(case.answers)
        segments = case.segments
        self.levels = [NAMELESS] if segments is None else [s.level for s in segments]
        for segment in segments or ():
            for name, found in segment.answers.items():
                self.answers[at_level(name, segment.level)] = found
        self.resolved: dict[str, list[Resolved]] = {}
        for entry in case.resolved:
            self.resolved.setdefault(at_level(entry.finding, entry.level), []).append(entry)

    def run(self) -> Standing:
        for name, level in self._all():
            self._settle(name, level)
        # in declared order, whatever leaned on what
        order = {at_level(name, level): place for place, (name, level) in enumerate(self._all())}
        found = self.standing

        def by_order(aside: SetAside) -> tuple[int, date]:
            return order[aside.name], aside.answer.observed

        return Standing(
            values={name: found.values[name] for name in order if name in found.values},
            missing={name: found.missing[name] for name in order if name in found.missing},
            used={name: found.used[name] for name in order if name in found.used},
            stale=sorted(found.stale, key=by_order),
            rejected=sorted(found.rejected, key=by_order),
        )

    def _all(self) -> list[tuple[str, str | None]]:
        pairs: list[tuple[str, str | None]] = []
        for name, finding in self.vocab.findings.items():
            levels = self.levels if finding.scope is Scope.SEGMENT else [None]
            pairs.extend((name, level) for level in levels)
        return pairs

    # ------------------------------------------------------------ one finding
    def _settle(self, name: str, level: str | None) -> Input | None:
        """The value of one finding; None is unknown."""
        grounded = at_level(name, level)
        if grounded not in self.done:
            self.done.add(grounded)
            self._judge(self.vocab.findings[name], grounded, level)
        return self.standing.values.get(grounded)

    def _judge(self, finding: Finding, name: str, level: str | None) -> None:
        answers = self.answers.get(name, ())
        if finding.applies_when is not None and self._applies(finding, level) is Tri.FALSE:
            self.standing.values[name] = NOT_APPLICABLE
            self.standing.rejected.extend(
                SetAside(name, answer, "does_not_apply") for answer in answers if answer.value
            )
        else:
            self._decide(finding, name, level, answers)

    def _applies(self, finding: Finding, level: str | None) -> Tri:
        def lookup(name: str) -> tuple[Finding, Input | None] | None:
            other = self.vocab.findings.get(name)
            if other is None or (other.scope is Scope.SEGMENT and level is None):
                return None
            here = level if other.scope is Scope.SEGMENT else None
            return other, self._seen(finding, other, here)

        return applies(finding.applies_when, lookup)

    def _seen(self, asker: Finding, other: Finding, level: str | None) -> Input | None:
        """The value of a finding that `asker` leans on."""
        if not self.tight and asker.name not in self.vocab.leans.get(other.name, ()):
            return self._settle(other.name, level)
        grounded = at_level(other.name, level)
        if grounded in self.looking:
            return None
        kept = self.standing, self.tight
        self.standing, self.tight = Standing(), True
        self.looking.add(grounded)
        self._judge(other, grounded, level)
        value = self.standing.values.get(grounded)
        self.looking.discard(grounded)
        self.standing, self.tight = kept
        return value

    def _decide(
        self, finding: Finding, name: str, level: str | None, answers: tuple[Answer, ...]
    ) -> None:
        standing, ended = self._positives(finding, name, answers)
        if standing:
            self._use(name, *worst(finding, standing))
            return
        since = max((answer.observed for answer in ended), default=date.min)
        rest = [
            answer
            for answer in answers
            if not adverse(finding, answer)
            and answer.missing not in _SAYS_NOTHING
            and answer.observed >= since
        ]
        if not rest:
            if ended:
                old = max(ended, key=lambda answer: answer.observed)
                self._stale(name, old, "resolved")
            else:
                said = [answer.missing for answer in answers if answer.missing]
                self.standing.missing[name] = said[-1] if said else Missing.NOT_ASKED
            return
        self._negative(finding, name, level, rest)

    def _positives(
        self, finding: Finding, name: str, answers: tuple[Answer, ...]
    ) -> tuple[list[Answer], list[Answer]]:
        """Adverse answers that stand, and those that were resolved."""
        standing: list[Answer] = []
        ended: list[Answer] = []
        for answer in answers:
            if not adverse(finding, answer):
                continue
            why = "open"
            for entry in self.resolved.get(name, ()):
                if finding.ends_by and entry.how not in finding.ends_by:
                    why = "wrong_way"
                elif not _follows(entry, answer):
                    why = "too_early" if why == "open" else why
                else:
                    why = "ended"
                    break
            (ended if why == "ended" else standing).append(answer)
            if why in ("wrong_way", "too_early"):
                self.standing.rejected.append(SetAside(name, answer, why))
        return standing, ended

    def _negative(self, finding: Finding, name: str, level: str | None, rest: list[Answer]) -> None:
        latest = max(answer.observed for answer in rest)
        same_day = [answer for answer in rest if answer.observed == latest]
        known = [answer for answer in same_day if answer.value is not None]
        if not known:
            self.standing.missing[name] = cast(Missing, same_day[-1].missing)
            return
        value = agreed(finding, [cast(Value, answer.value) for answer in known])
        if value is None:
            self.standing.missing[name] = Missing.CONFLICTING
            return
        why, by = "expired", None
        decided = [answer for answer in known if answer.value == value]
        for answer in decided:
            why, by = self._why_not(finding, level, answer)
            if not why:
                self._use(name, answer, value)
                return
        self._stale(name, decided[-1], why, by)

    def _why_not(
        self, finding: Finding, level: str | None, answer: Answer
    ) -> tuple[str, str | None]:
        """Why a negative no longer counts, and by what; an empty text when it does."""
        voided = self._voided(finding, level, answer)
        if voided:
            return "voided", voided
        tighter = [
            period
            for other, period in finding.good_for.with_
            if self._worry(finding, other, level) is not Worry.NO
        ]
        periods = [finding.good_for, *tighter]
        if all(self.fresh.within(period, answer.observed) for period in periods):
            return "", None
        if answer.how != "confirmed_unchanged":
            return "expired", None
        if not finding.unchanged:
            return "unchanged_refused", None
        for other in finding.unchanged_not_with:
            if self._worry(finding, other, level) is not Worry.NO:
                return "unchanged_refused", other
        refused = self.fresh.unchanged(answer)
        if refused:
            return refused, None
        # renewed: as if observed on the day it was confirmed
        if all(self.fresh.within(period, answer.asked) for period in periods):
            return "", None
        return "expired", None

    # ------------------------------------------------------------ leaning on others
    def _places(self, other: str, level: str | None) -> list[str | None]:
        """The levels at which a finding named by another one is looked for."""
        if not other.startswith(SEGMENT):
            return [None]
        return [level] if level else [*self.levels]

    def _worry(self, asker: Finding, other: str, level: str | None) -> Worry:
        """Whether another finding is adverse now, at any level it is looked for."""
        finding = self.vocab.findings.get(other)
        if finding is None or self.tight:
            return Worry.PERHAPS
        found = [
            worry(finding, self._seen(asker, finding, place))
            for place in self._places(other, level)
        ]
        if Worry.YES in found:
            return Worry.YES
        return Worry.PERHAPS if Worry.PERHAPS in found else Worry.NO

    def _voided(self, finding: Finding, level: str | None, answer: Answer) -> str | None:
        today = self.case.as_of
        for other in finding.voided_by:
            named = self.vocab.findings.get(other)
            if named is None:
                continue
            for place in self._places(other, level):
                for event in self.answers.get(at_level(other, place), ()):
                    if event is answer or event.observed < answer.observed:
                        continue
                    if event.observed == answer.observed == today:
                        continue
                    if event.value and worry(named, event.value) is not Worry.NO:
                        return other
        return None

    # ------------------------------------------------------------ results
    def _use(self, name: str, answer: Answer, value: Value) -> None:
        self.standing.values[name] = value
        age = (self.case.as_of - answer.observed).days
        self.standing.used[name] = Used(answer, age)

    def _stale(self, name: str, answer: Answer, why: str, by: str | None = None) -> None:
        self.standing.missing[name] = Missing.STALE
        self.standing.stale.append(SetAside(name, answer, why, by))


def _follows(entry: Resolved, answer: Answer) -> bool:
    """Whether a resolution knows of the answer: by a later day, or because it names the day."""
    if entry.observed is not None:
        return answer.observed <= entry.observed
    return answer.observed < entry.on
