"""What every fixture must meet: its expectations, and what holds for every advice.

Used by `tests/fixtures` (invented cases) and `tests/published` (published ones).
"""

from __future__ import annotations

import json

from cds.canon import canonical
from cds.explain.check import check_chain
from cds.features.compute import inputs
from cds.vocabulary.ageing import stand
from cds.vocabulary.case import Case
from cds.vocabulary.reading import read_case
from cds.vocabulary.write import case_json, mirror_case
from tests.support.expected import differences, essence, floats, forbidden
from tests.support.fixtures import Fixture, decider


def case_of(fixture: Fixture) -> Case:
    """The checked case. Raises `CaseError` where the fixture's data is no case of this edition."""
    return read_case(decider(fixture.policy).vocabulary, fixture.case)


def check_expected(fixture: Fixture) -> None:
    """The advice is what the fixture says, key by key; a failure lists all that differs."""
    deciding = decider(fixture.policy)
    advice = deciding.decide(case_of(fixture))
    found = differences(deciding.program, advice, fixture.expect)
    headline = advice["headline"]
    assert not found, "\n  ".join([f"{fixture.name}: {headline['text']}", *found])


def check_kept(fixture: Fixture) -> None:
    """The chain re-derives the advice; plain JSON without floats; no forbidden word; same bytes."""
    deciding = decider(fixture.policy)
    case = case_of(fixture)
    advice = deciding.decide(case)
    program, vocabulary = deciding.program, deciding.vocabulary
    own = inputs(program, case, stand(vocabulary, case))
    assert [f"{p.code} {p.pointer}" for p in check_chain(program, advice, own)] == []
    assert json.loads(json.dumps(advice)) == advice
    assert not floats(advice)
    assert forbidden(advice) == []
    written = read_case(vocabulary, case_json(vocabulary, case))
    assert canonical(deciding.decide(written)) == canonical(advice)


def check_mirrored(fixture: Fixture) -> None:
    """Left and right exchanged in the case are exchanged in the advice; nothing else changes."""
    deciding = decider(fixture.policy)
    case = case_of(fixture)
    mirrored = deciding.decide(mirror_case(deciding.vocabulary, case))
    assert essence(mirrored) == essence(deciding.decide(case), swapped=True)
