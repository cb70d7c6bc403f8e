"""A small population and the shipped book, for the tests of the burden."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from cds.assure.burden.population import Population
from cds.assure.burden.population_reading import default_population, read_population
from cds.rulebook.program import Program
from cds.rulebook.vetting import load_program
from tests.support.optional import ROOT


@cache
def shipped() -> Program:
    return load_program(ROOT / "rules")


@cache
def population(first: int = 40, dialogues: int = 3) -> Population:
    whole = read_population(default_population())
    return replace(whole, first=first, follow_up=first, dialogues=dialogues)
