from __future__ import annotations

from pathlib import Path

import pytest

from cds.assure.burden.population_reading import (
    PopulationError,
    default_population,
    read_population,
)
from cds.problems import Place

SMALL = """\
language: 1
population:
  title: Invented
  as_of: 2026-11-20
  seed: 1
  first_visits: 10
  follow_ups: 10
  dialogues: 2
  with_a_flag: {share: 0.8, evidence: [{source: one, at: a table}]}
  flag_ages: [[56, 120]]
  consent: {share: 0.9, evidence: [{common_practice: most}]}
sources:
  one: {title: A study, status: read}
strata:
  - {id: all, share: 1, ages: [18, 70], female: 0.5, evidence: [{common_practice: even}]}
conditions:
  - {id: fracture, share: 0.01, evidence: [{source: one}]}
findings:
  leg_symptoms:
    words: {above_knee: 0.2}
    otherwise: none
    given: [{if: {condition: [fracture], age: [60, 70]}, words: {above_knee: 0.5}}]
    evidence: [{common_practice: a fifth}]
  pain: {numbers: [2, 8], unknown: 0.1, evidence: [{common_practice: usual}]}
events:
  pain: {numbers: [1, 4], evidence: [{common_practice: less}]}
course:
  sessions: [1, 3]
  days_between: [3, 7]
  rungs: [muscle_energy]
  gain: 0.7
  minor: 0.05
  longer: 0.04
  distal: 0.01
  worsened: 0.03
  evidence: [{common_practice: ordinary}]
"""


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "population.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_shipped_population_reads_and_every_number_has_its_evidence() -> None:
    found = read_population(default_population())
    parts = (*found.strata, *found.conditions, *found.findings, *found.events, found.courses)
    assert all(part.evidence for part in parts)
    assert found.flag_share == 0.804
    assert {c.id: c.share for c in found.conditions}["cauda_equina"] == 0.0004


def test_a_small_population_says_what_it_says(tmp_path: Path) -> None:
    found = read_population(write(tmp_path, SMALL))
    assert (found.first, found.follow_up, found.dialogues) == (10, 10, 2)
    leg, pain = found.findings
    assert leg.words == (("above_knee", 0.2),)
    assert leg.given[0].tests == (("condition", ("fracture",)),)
    assert leg.given[0].age == (60, 70)
    assert pain.unknown == 0.1
    assert [source.status for source in found.sources] == ["read"]


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("above_knee: 0.2}", "above_knee: 1.2}", "bad-number", 20),
        ("words: {above_knee: 0.2}", "words: {above_knee: 0.7, b: 0.6}", "bad-number", 20),
        ("share: 1, ages", "share: 0.6, ages", "bad-number", 14),
        ("ages: [18, 70]", "ages: [70, 18]", "bad-number", 15),
        ("    evidence: [{common_practice: a fifth}]\n", "", "missing-key", 20),
        ("{common_practice: a fifth}", "{source: two}", "unknown-word", 23),
        ("{common_practice: a fifth}", "{source: one, common_practice: x}", "missing-key", 23),
        ("{condition: [fracture],", "{later: [yes],", "unknown-name", 22),
        ("status: read}", "status: guessed}", "unknown-word", 13),
        ("language: 1", "language: 2", "language-version", 1),
        ("  seed: 1\n", "  seed: 1\n  sed: 2\n", "unknown-key", 6),
        ("numbers: [2, 8]", "numbers: [8, 2]", "bad-number", 24),
    ],
)
def test_problems_name_their_line(tmp_path: Path, old: str, new: str, code: str, line: int) -> None:
    assert old in SMALL
    with pytest.raises(PopulationError) as caught:
        read_population(write(tmp_path, SMALL.replace(old, new, 1)))
    found = [(p.code, p.place.line) for p in caught.value.problems if isinstance(p.place, Place)]
    assert (code, line) in found
    assert "population.yaml" in caught.value.texts


def test_a_list_or_nothing_is_no_population(tmp_path: Path) -> None:
    for text in ("- a\n", "", "language: 1\n"):
        with pytest.raises(PopulationError):
            read_population(write(tmp_path, text))


def test_problems_are_collected_not_raised_one_by_one(tmp_path: Path) -> None:
    text = SMALL.replace("above_knee: 0.2}", "above_knee: 1.2}").replace("gain: 0.7", "gain: 7")
    with pytest.raises(PopulationError) as caught:
        read_population(write(tmp_path, text))
    assert len(caught.value.problems) == 2


def test_the_packaged_file_goes_before_the_checkout(tmp_path: Path) -> None:
    package = tmp_path / "cds"
    package.mkdir()
    assert default_population(package) == tmp_path / "fixtures" / "population.yaml"
    (package / "_population.yaml").touch()
    assert default_population(package) == package / "_population.yaml"
