"""Edge cases: for each rule where it fires, where it is open, and just on the other side.

One file of `fixtures/edges/` for each file of `rules/rules/`; format in `fixtures/README.md`. Only
the rule's own state is looked at, so a case is read and chained, never decided in full.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from cds.cli.casefile import read_case_data
from cds.engine.chainer import Run
from cds.engine.path import path_inputs
from cds.engine.readings import Readings
from cds.features.compute import inputs
from cds.features.order import order
from cds.problems import CaseError
from cds.rulebook.book import Phase
from cds.rulebook.conditions import Condition, Group, Members
from cds.rulebook.program import Program
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case
from cds.vocabulary.computed import PATH_FEATURES
from cds.vocabulary.model import MOMENTS
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Op
from tests.support.fixtures import FIXTURES, RULES, FixtureError, base, decider, laid_over

FOLDER = FIXTURES / "edges"
PLACES = ("fires", "open", "other_side")
FILE_KEYS = ("about", "base", "rules")
KEYS = ("rule", "why", "base", "with", "policy", *PLACES, "jump", "never_open", "never_false")
STATES = {"fires": "fired", "open": "open", "other_side": "false"}
"""The state of the rule that each overlay must bring about."""
ANY_DAY = "2026-11-20"


@dataclass(frozen=True)
class Edge:
    """The cases of one rule, whole (base and overlays laid together), by place."""

    rule: str
    file: str
    why: str
    cases: dict[str, dict[str, Any]]
    policy: dict[str, Any] = field(default_factory=dict)
    jump: str = ""
    never_open: str = ""
    never_false: str = ""


def files() -> tuple[Path, ...]:
    """The files of edge cases."""
    return tuple(sorted(FOLDER.glob("*.yaml")))


def rules_of(name: str) -> tuple[str, ...]:
    """The ids of the rules in one file of `rules/rules/`, by its name without ending."""
    data = read_case_data(str(RULES / "rules" / f"{name}.yaml"))
    assert isinstance(data, dict)
    return tuple(str(rule["id"]) for rule in data.get("rules", ()))


def rule_files() -> tuple[str, ...]:
    """Every file of `rules/rules/` that holds rules, by its name without ending."""
    names = sorted(path.stem for path in (RULES / "rules").glob("*.yaml"))
    return tuple(name for name in names if rules_of(name))


def read_edges(path: Path) -> tuple[Edge, ...]:
    """The edge cases of one file. Raises `FixtureError` where it does not keep to the format."""
    data = _mapping(read_case_data(str(path)), path.name, FILE_KEYS, FILE_KEYS)
    found = []
    for number, member in enumerate(data["rules"], 1):
        what = f"{path.name}: entry {number}"
        entry = _mapping(member, what, KEYS, ("rule", "why", "fires"))
        owed = {"open": "never_open", "other_side": "never_false"}
        for place, instead in owed.items():
            if (place in entry) == (instead in entry):
                raise FixtureError(f"{what}: exactly one of `{place}` and `{instead}` is wanted")
        under = base(str(entry.get("base", data["base"])))
        under = laid_over(under, entry.get("with") or {})
        cases = {place: laid_over(under, entry[place] or {}) for place in PLACES if place in entry}
        found.append(
            Edge(
                rule=str(entry["rule"]),
                file=path.stem,
                why=str(entry["why"]),
                cases=cases,
                policy=dict(entry.get("policy") or {}),
                jump=str(entry.get("jump", "")),
                never_open=str(entry.get("never_open", "")),
                never_false=str(entry.get("never_false", "")),
            )
        )
    return tuple(found)


def run_of(data: Mapping[str, Any], policy: Mapping[str, Any], prepare: bool) -> Run:
    """The chained case; with the path told to the prepare rules if they are asked for."""
    deciding = decider(policy)
    return run_case(read_case(deciding.vocabulary, dict(data)), policy, prepare)


def run_case(case: Case, policy: Mapping[str, Any], prepare: bool) -> Run:
    """As `run_of`, for a case that has been read."""
    deciding = decider(policy)
    program = deciding.program
    given = inputs(program, case, stand(deciding.vocabulary, case))
    run = deciding.chainer.start(given)
    if prepare:
        readings = Readings(program, run.outcome())
        levels = tuple(turn.level for turn in order(case, given.values))
        paths = deciding.resolver.paths(readings, levels, given.values)
        run.extend(path_inputs(paths.now, levels))
    return run


def state(rule: str, data: Mapping[str, Any], policy: Mapping[str, Any] | None = None) -> str:
    """`fired` where the rule fires for some level or side, else `open` where it is open for some,
    else `false`."""
    program = decider(policy).program
    run = run_of(data, policy or {}, program.rules[rule].phase is Phase.PREPARE)
    outcome = run.outcome()
    for word, numbers in (("fired", outcome.fired), ("open", outcome.open)):
        if any(program.instances[number].rule == rule for number in numbers):
            return word
    return "false"


def without_answers() -> tuple[dict[str, Any], ...]:
    """The cases in which nothing is known but the day and the moment, one for each moment."""
    return tuple({"as_of": ANY_DAY, "moment": moment} for moment in MOMENTS)


def may_be_open(edge: Edge) -> bool:
    """Whether the rule may be open in some case.

    More answers only narrow what a feature can be, so a judge rule that is decided where nothing is
    known is decided everywhere. The path is always known once it is resolved; a prepare rule that
    reads more than the path counts as never open if nothing that is taken out of its firing case,
    one answer or field at a time, leaves it open.
    """
    rule, policy = edge.rule, edge.policy
    program = decider(policy).program
    if program.rules[rule].phase is Phase.JUDGE:
        return any(state(rule, data, policy) == "open" for data in without_answers())
    if _reads(program, rule) <= {*PATH_FEATURES, "moment"}:
        return False
    return any(_state(rule, data, policy) == "open" for data in less_known(edge))


def may_be_false(edge: Edge) -> bool:
    """Whether some case may make the rule false.

    Not one that fires where nothing is known, and not one for which it is enough that a finding is
    known that always applies: there is no known absence of an answer.
    """
    rule = decider(edge.policy).program.rules[edge.rule]
    if _needs_only_an_answer(rule.when, decider(edge.policy).program):
        return False
    if rule.phase is Phase.PREPARE:
        return True
    return any(state(edge.rule, data, edge.policy) != "fired" for data in without_answers())


def _needs_only_an_answer(condition: Condition, program: Program) -> bool:
    if isinstance(condition, Members):
        return condition.group is Group.ANY and any(
            _needs_only_an_answer(member, program) for member in condition.members
        )
    finding = program.findings.get(condition.name)
    return condition.op is Op.KNOWN and finding is not None and finding.applies_when is None


def less_known(edge: Edge) -> Iterator[dict[str, Any]]:
    """The case in which the rule fires, each time with one answer or field less."""
    fires = edge.cases["fires"]
    yield from _one_less(fires)
    for name, finding in decider(edge.policy).program.findings.items():
        if finding.block and name not in fires.get("answers", {}):
            yield laid_over(fires, {"answers": {name: {"missing": "not_asked"}}})


def _one_less(value: Any) -> Iterator[Any]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield {name: kept for name, kept in value.items() if name != key}
            yield from ({**value, key: less} for less in _one_less(inner))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield [*value[:place], *value[place + 1 :]]
            yield from ([*value[:place], less, *value[place + 1 :]] for less in _one_less(inner))


def _state(rule: str, data: dict[str, Any], policy: Mapping[str, Any]) -> str:
    """As `state`; `no case` where what was taken away is owed."""
    try:
        return state(rule, data, policy)
    except CaseError:
        return "no case"


def _reads(program: Program, rule: str) -> set[str]:
    """Names of the inputs that a rule's own condition reads, and a word for a conclusion."""
    return {
        "a conclusion" if read.input is None else read.input.partition("@")[0]
        for instance in program.instances
        if instance.rule == rule
        for read in instance.reads
        if read.input is not None or read.slot is not None
    }


def _mapping(
    value: object, what: str, keys: tuple[str, ...], owed: tuple[str, ...]
) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise FixtureError(f"{what}: a mapping is wanted")
    for key in value:
        if key not in keys:
            raise FixtureError(f"{what}: `{key}` is not a key here ({', '.join(keys)})")
    for key in owed:
        if key not in value:
            raise FixtureError(f"{what}: `{key}` is missing")
    return value
