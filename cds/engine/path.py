"""The ladder resolver: from limits, indication and target to today's path, per level.

For each level: which rungs are open (limit of its family high enough, indication given, not above
the target, hands-on care not capped by a referral), where to start, the steps up with the gate
before each, the most that can be reached, and the gentle rungs to step down to. Absence of bars is
not an indication: no indication, no hands-on rung. The resolver is pure and runs once per reading.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from cds.engine.readings import Bounds, Readings
from cds.rulebook.program import Program
from cds.vocabulary.model import CARE, URGENCIES
from cds.vocabulary.regions import region_of
from cds.vocabulary.values import Choice, Input

GENTLE = ("muscle_energy_low", "muscle_energy", "mobilization_1", "mobilization_2")
"""Rungs one may start at or step down to (common practice)."""

AT_MOST_TREATED = 2
"""Levels treated in one session (common practice)."""

NO_SKIP = frozenset({"thrust"})
"""Rungs that are open only where the rung directly below is: thrust begins where grade IV ends
(common practice), so a limit on grade IV also keeps thrust shut."""

NO_TREATMENT = "no_treatment"
EXERCISE_ONLY = "exercise_only"

Pick = Callable[[Bounds], int]


@dataclass(frozen=True, slots=True)
class LevelPath:
    """Today's path of one level in one reading. `up_to` is at least `exercise_only`.

    `steps` are the hands-on rungs from `start_at` up, `step_down_to` the gentle ones still open.
    """

    start_at: str
    up_to: str
    steps: tuple[str, ...]
    step_down_to: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Resolved:
    """One reading: the care and urgency it rests on, and a path per level (only listed ones)."""

    care: int
    urgency: int
    case_limits: Mapping[str, int]
    level_limits: Mapping[str, Mapping[str, int]]
    targets: Mapping[str, int]
    paths: Mapping[str, LevelPath]
    capped: str | None
    up_to: str
    start_at: str

    @property
    def hands_on(self) -> bool:
        """Whether any level has a hands-on step."""
        return any(path.steps for path in self.paths.values())


def now(bounds: Bounds) -> int:
    """As advised."""
    return bounds.now


def most_careful(bounds: Bounds) -> int:
    """The careful end."""
    return bounds.most_careful


def least_careful(bounds: Bounds) -> int:
    """The permissive end."""
    return bounds.least_careful


@dataclass(frozen=True, slots=True)
class Paths:
    """The readings of one case's path: advised, with holds left out, and the two bounds.

    `treated` are the levels treated today, in order.
    """

    now: Resolved
    fired: Resolved
    most: Resolved
    least: Resolved
    treated: tuple[str, ...]


class Resolver:
    """Resolves paths for one program; holds only tables derived from its ladder."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.rungs = program.ladder.rung_names
        self.place = {name: index for index, name in enumerate(self.rungs)}
        self.needs: dict[str, tuple[str, int]] = {}
        for family in program.ladder.of_group("hands_on"):
            for rung, limit in family.rungs:
                self.needs[rung] = (family.name, family.limits.index(limit))
        self.full = {f.name: len(f.limits) - 1 for f in program.ladder.families}
        self.referrals = tuple(s for s in program.slots if s.conclusion == "referral")
        self.urgent = URGENCIES.index("urgent")
        self.no_hands_on = CARE.index("no_hands_on")
        choice = program.policy.get("gentle_first")
        self.gentle_first = str(choice.value) if choice else "either"

    def paths(
        self, readings: Readings, levels: tuple[str, ...], values: Mapping[str, Input]
    ) -> Paths:
        """Every reading, for levels in order of treatment. `values` gives the moment and last
        rung."""
        moment = _word(values, "moment") or ""
        last = _word(values, "today.last_rung") if moment == "during_session" else None

        def read(careful: Pick, permissive: Pick, shut: frozenset[str] = frozenset()) -> Resolved:
            return self.resolve(readings, levels, moment, careful, permissive, last, shut)

        def bounded(careful: Pick, permissive: Pick) -> Resolved:
            first = read(careful, permissive)
            shut = _no_thrust_at(first, levels)
            return read(careful, permissive, shut) if shut else first

        advised = bounded(now, now)
        treated = _treated(advised, levels)
        least = read(least_careful, least_careful)
        # where an answer could choose other levels, or the other region, no level is sure of it
        could = [name for name in levels if least.paths[name].steps]
        sure = len(could) <= AT_MOST_TREATED and len({region_of(name) for name in could}) <= 1
        shut = frozenset() if sure else frozenset(levels)
        return Paths(
            now=self.over(advised, treated),
            fired=self.over(bounded(least_careful, now), treated or levels),
            most=self._surely(read(most_careful, most_careful, shut)),
            least=least,
            treated=treated,
        )

    def resolve(
        self,
        readings: Readings,
        levels: tuple[str, ...],
        moment: str,
        careful: Pick,
        permissive: Pick,
        last_rung: str | None = None,
        shut: frozenset[str] = frozenset(),
    ) -> Resolved:
        """One reading. `careful` picks from careful slots, `permissive` from target and indication.

        `last_rung` is the rung last done in the session in progress, if any: the path goes on from
        there while it is still open. No thrust at the levels of `shut`.
        """
        care = self._case(readings, "care_today", None, careful)
        urgency = max(
            (careful(readings.bounds(slot)) for slot in self.referrals),
            default=0,
        )
        capped = None
        if urgency >= self.urgent or moment not in ("before_session", "during_session"):
            capped = NO_TREATMENT
        elif care >= self.no_hands_on:
            # hands stay off; exercise and advice are not taken away with them
            capped = EXERCISE_ONLY
        case_limits = {
            name: self._case(readings, "limit", name, careful, full)
            for name, full in self.full.items()
        }
        level_limits: dict[str, dict[str, int]] = {}
        targets: dict[str, int] = {}
        paths: dict[str, LevelPath] = {}
        for level in levels:
            limits = {
                name: min(case_limits[name], self._level_limit(readings, name, level, careful))
                for name in self.full
            }
            level_limits[level] = limits
            targets[level] = self._target(readings, level, permissive)
            indicated = {
                family.name
                for family in self.program.ladder.of_group("hands_on")
                if self._indicated(readings, family.name, level, permissive)
            }
            paths[level] = self._path(
                limits, targets[level], indicated, capped, last_rung, level in shut
            )
        resolved = Resolved(
            care=care,
            urgency=urgency,
            case_limits=case_limits,
            level_limits=level_limits,
            targets=targets,
            paths=paths,
            capped=capped,
            up_to=EXERCISE_ONLY,
            start_at=EXERCISE_ONLY,
        )
        return self.over(resolved, levels)

    def over(self, resolved: Resolved, levels: tuple[str, ...]) -> Resolved:
        """The same reading with the case's start and top taken over these levels only."""
        paths = [resolved.paths[level] for level in levels]
        ups = [path.up_to for path in paths]
        starts = [path.start_at for path in paths if path.steps]
        idle = self.idle(resolved)
        return replace(
            resolved,
            up_to=max(ups, key=self.place.__getitem__, default=idle),
            start_at=min(starts, key=self.place.__getitem__, default=idle),
        )

    def _surely(self, most: Resolved) -> Resolved:
        """The careful bound with a top that holds whichever levels an answer leaves to be treated.

        Any levels may be left out while there are more than may be treated, the highest too.
        """
        ups = sorted((path.up_to for path in most.paths.values()), key=self.place.__getitem__)
        if len(ups) <= AT_MOST_TREATED:
            return most
        return replace(most, up_to=ups[AT_MOST_TREATED - 1])

    def barred(self, readings: Readings, resolved: Resolved) -> tuple[str, ...]:
        """Levels where a technique is indicated and no hands-on step is open."""
        families = [family.name for family in self.program.ladder.of_group("hands_on")]
        return tuple(
            level
            for level, path in resolved.paths.items()
            if not path.steps
            and any(self._indicated(readings, name, level, now) for name in families)
        )

    def idle(self, resolved: Resolved) -> str:
        """What the case does when no level has a hands-on step."""
        return resolved.capped or EXERCISE_ONLY

    def _case(
        self, readings: Readings, conclusion: str, key: str | None, pick: Pick, default: int = 0
    ) -> int:
        slot = readings.slot(conclusion, key)
        return default if slot is None else pick(readings.bounds(slot))

    def _level_limit(self, readings: Readings, family: str, level: str, pick: Pick) -> int:
        slot = readings.slot("limit", family, level)
        return self.full[family] if slot is None else pick(readings.bounds(slot))

    def _target(self, readings: Readings, level: str, pick: Pick) -> int:
        # Where rules of the book write a target for the case and for levels, a level needs both: a
        # missing one that did not count would make the path fall when its rule fires.
        slots = (readings.slot("target", None, level), readings.slot("target"))
        values = [
            pick(readings.bounds(slot)) for slot in slots if slot is not None and slot.writers
        ]
        return min(values, default=self.place[EXERCISE_ONLY])

    def _indicated(self, readings: Readings, family: str, level: str, pick: Pick) -> bool:
        slot = readings.slot("indication", family, level)
        return slot is not None and pick(readings.bounds(slot)) == 1

    def _path(
        self,
        limits: Mapping[str, int],
        target: int,
        indicated: set[str],
        capped: str | None,
        last_rung: str | None,
        shut: bool,
    ) -> LevelPath:
        if capped is not None:
            return LevelPath(capped, capped, (), ())
        allowed = [
            rung
            for rung in self.rungs
            if rung in self.needs and limits[self.needs[rung][0]] >= self.needs[rung][1]
        ]
        worth = [r for r in allowed if self.needs[r][0] in indicated]
        steps: list[str] = []
        for rung in worth:
            if self.place[rung] > target:
                break
            if rung in NO_SKIP and (
                shut or not steps or self.place[steps[-1]] != self.place[rung] - 1
            ):
                continue
            steps.append(rung)
        gentle = tuple(r for r in GENTLE if r in worth)
        if not steps:
            return LevelPath(EXERCISE_ONLY, EXERCISE_ONLY, (), gentle if worth else ())
        start = self._start(steps, last_rung)
        path = tuple(
            rung
            for rung in steps
            if self.place[rung] >= self.place[start]
            and not (rung == "muscle_energy_low" and "muscle_energy" in steps and rung != start)
        )
        return LevelPath(start, path[-1], path, gentle)

    def _start(self, steps: list[str], last_rung: str | None) -> str:
        if last_rung in steps:
            return str(last_rung)
        prefer = {
            "grade_1_2": ("mobilization_1", "mobilization_2", "muscle_energy", "muscle_energy_low"),
        }.get(
            self.gentle_first,
            ("muscle_energy", "muscle_energy_low", "mobilization_1", "mobilization_2"),
        )
        for rung in prefer:
            if rung in steps:
                return rung
        return steps[0]


def _treated(resolved: Resolved, levels: tuple[str, ...]) -> tuple[str, ...]:
    """The levels treated in a session: the first in order that have a hands-on step."""
    return tuple(name for name in levels if resolved.paths[name].steps)[:AT_MOST_TREATED]


def _no_thrust_at(resolved: Resolved, levels: tuple[str, ...]) -> frozenset[str]:
    """Levels whose path reaches a thrust that this session does not have: those not treated today,
    and those of another region than the first that does (common practice)."""
    reach = [name for name in levels if NO_SKIP & set(resolved.paths[name].steps)]
    treated = [name for name in _treated(resolved, levels) if name in reach]
    regions = {region_of(name) for name in treated[:1]}
    return frozenset(
        name for name in reach if name not in treated or region_of(name) not in regions
    )


def path_inputs(resolved: Resolved, levels: tuple[str, ...]) -> dict[str, Input]:
    """What prepare rules may read of the path, as it stands now."""
    found: dict[str, Input] = {
        "path.up_to": Choice((resolved.up_to,)),
        "path.start_at": Choice((resolved.start_at,)),
        "path.hands_on": Choice(("yes" if resolved.hands_on else "no",)),
    }
    for level in levels:
        found[f"segment.path_up_to@{level}"] = Choice((resolved.paths[level].up_to,))
        found[f"segment.path_start_at@{level}"] = Choice((resolved.paths[level].start_at,))
    return found


def _word(values: Mapping[str, Input], name: str) -> str | None:
    value = values.get(name)
    return value.exact if isinstance(value, Choice) else None
