"""One evaluation of a tiny book, with everything the explaining modules read."""

from __future__ import annotations

from dataclasses import dataclass, field

from cds.engine.chainer import Chainer, Run
from cds.engine.path import Paths, Resolver, path_inputs
from cds.engine.port import Inputs
from cds.engine.readings import Readings
from cds.explain.chain import build_chain
from cds.rulebook.program import Instance, Program
from cds.vocabulary.advice import Chain
from cds.vocabulary.values import Input
from tests.support.tiny import tiny, word


@dataclass
class Seen:
    """What one evaluation gave. `truth` is the truth of any literal."""

    program: Program
    inputs: Inputs
    run: Run
    readings: Readings
    resolver: Resolver
    paths: Paths
    levels: tuple[str, ...] = field(default=())

    @property
    def chain(self) -> Chain:
        return build_chain(self.program, self.inputs, self.readings, self.run.node_state)

    def instance(self, rule: str, level: str | None = None, side: str | None = None) -> Instance:
        found = [
            i for i in self.program.instances if (i.rule, i.level, i.side) == (rule, level, side)
        ]
        assert len(found) == 1, (rule, level, side)
        return found[0]


def see(program: Program, values: dict[str, Input] | None = None, *levels: str) -> Seen:
    """Evaluate, resolve the path, and tell it to the prepare rules, before a session."""
    given: dict[str, Input] = {"moment": word("before_session"), **(values or {})}
    run = Chainer(program).start(Inputs(given, frozenset(levels)))
    readings = Readings(program, run.outcome())
    resolver = Resolver(program)
    paths = resolver.paths(readings, levels, given)
    path = path_inputs(paths.now, levels)
    run.extend(path)
    return Seen(
        program=program,
        inputs=Inputs({**given, **path}, frozenset(levels)),
        run=run,
        readings=Readings(program, run.outcome()),
        resolver=resolver,
        paths=paths,
        levels=levels,
    )


def rule(name: str, when: str, then: str, holds: str = "nothing", **more: str) -> str:
    """A rule of a tiny book as YAML; `more` are further keys (`basis`, `for_each`, `phase` …)."""
    keys = {"title": name.replace("-", " "), "because": "Test.", **more}
    lines = [f"  - id: {name}", *(f"    {key}: {value}" for key, value in keys.items())]
    lines += [f"    when: {when}", f"    then: {then}", f"    while_unknown: {holds}"]
    return "\n".join([*lines, "    evidence: [{source: s-one}]", ""])


def presences(*names: str, **more: str) -> str:
    """Findings of kind presence, as a further file of a tiny book."""
    entries = [
        f'  {name}: {{ask: "{name}?", title: {name}, kind: presence, adverse: [yes]'
        f"{', ' + more[name] if name in more else ''}}}"
        for name in names
    ]
    return "findings:\n" + "\n".join(entries) + "\n"


__all__ = ["Seen", "presences", "rule", "see", "tiny"]
