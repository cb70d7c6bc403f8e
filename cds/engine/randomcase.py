"""Seeded random inputs for a program, and answers that narrow them."""

from __future__ import annotations

from random import Random

from cds.engine.port import Inputs
from cds.rulebook.ground import ALL_LEVELS
from cds.rulebook.program import Program
from cds.vocabulary.model import LEVELS, NAMELESS, Feature, Finding
from cds.vocabulary.values import NOT_APPLICABLE, Amount, Choice, Input


def random_inputs(rng: Random, program: Program, path: bool | None = None) -> Inputs:
    """Levels, answers, a few of them narrow or not applicable, many missing.

    `path` says whether the inputs of the preparing evaluation are there; None: sometimes.
    """
    levels = frozenset(rng.sample(LEVELS, rng.randint(0, 3)))
    if rng.random() < 0.1:
        levels = frozenset({NAMELESS})
    share = rng.choice((0.0, 0.2, 0.5, 0.8, 1.0))
    prepared = rng.random() < 0.4 if path is None else path
    values: dict[str, Input] = {}
    for name, entry in _names(program, levels):
        if "path" in name:
            if prepared:
                values[name] = Choice((rng.choice(entry.values),))
        elif rng.random() < share:
            values[name] = random_value(rng, entry)
    if rng.random() < 0.05:
        values["segment.prominent@L5"] = Choice(("left",))  # perhaps of a level that is not listed
    return Inputs(values, levels)


def random_value(rng: Random, entry: Finding | Feature) -> Input:
    """One value: mostly exact, sometimes narrowed only, sometimes not applicable."""
    how = rng.random()
    if how < 0.06:
        return NOT_APPLICABLE
    if not entry.numeric:
        count = rng.randint(1, len(entry.values)) if how < 0.16 else 1
        return Choice(tuple(rng.sample(entry.values, count)))
    low, high = _range(entry)
    one, other = sorted((rng.randint(low, high), rng.randint(low, high)))
    if how < 0.2:
        return Amount(None if how < 0.1 else one, None if how > 0.18 else other)
    return Amount(one, one)


def narrowed(rng: Random, program: Program, inputs: Inputs) -> Inputs:
    """The same case with more known: each unknown or wide input may be answered, none changed."""
    values = dict(inputs.values)
    for name, entry in _names(program, inputs.levels):
        if rng.random() < 0.5:
            continue
        old = values.get(name)
        if old is None and "path" not in name:
            values[name] = random_value(rng, entry)
        elif isinstance(old, Choice):
            count = rng.randint(1, len(old.options))
            values[name] = Choice(tuple(rng.sample(old.options, count)))
        elif isinstance(old, Amount):
            low, high = _range(entry)
            exact = rng.randint(
                low if old.low is None else old.low, high if old.high is None else old.high
            )
            values[name] = Amount(exact, exact)
    return Inputs(values, inputs.levels)


def _names(program: Program, levels: frozenset[str]) -> list[tuple[str, Finding | Feature]]:
    found: list[tuple[str, Finding | Feature]] = []
    for entries in (program.findings, program.features):
        for name, entry in entries.items():
            if name.startswith("segment."):
                found += [(f"{name}@{x}", entry) for x in ALL_LEVELS if x in levels]
            else:
                found.append((name, entry))
    return found


def _range(entry: Finding | Feature) -> tuple[int, int]:
    low = entry.steps(entry.low) if entry.low is not None else 0
    high = entry.steps(entry.high) if entry.high is not None else 20
    return low or 0, high or 0
