from __future__ import annotations

from pathlib import Path

from cds.assure.exercised import EDGES, EXPECTED, Exercised, exercised, fixtures_folder
from tests.support.expected import CHECKS
from tests.support.optional import ROOT
from tests.support.shipped import shipped_service

EDGE = """\
about: Edges.
rules:
  - rule: one
    why: 3 against 2
    fires: {answers: {a: 3}}
    other_side: {answers: {a: 2}}
"""
CASE = """\
about: A case.
expect:
  fired: [one]
  contraindications: {thrust: [one, two]}
"""


def test_edges_come_first_and_a_case_says_all_a_rule_does_in_it(tmp_path: Path) -> None:
    for part, text in (("edges", EDGE), ("cases", CASE), ("published", "- no case\n")):
        (tmp_path / part).mkdir()
        (tmp_path / part / "x.yaml").write_text(text)
    (tmp_path / "cases" / "broken.yaml").write_text("about: [")
    case = Exercised("cases", "x.yaml", "A case.", ("bars a technique",))
    assert exercised(tmp_path) == {
        "one": (
            Exercised("edges", "x.yaml", "3 against 2", ("fires", "is quiet on the other side")),
            Exercised("cases", "x.yaml", "A case.", ("fires", "bars a technique")),
        ),
        "two": (case,),
    }


def test_the_shipped_fixtures_name_shipped_rules_only() -> None:
    found = exercised(ROOT / "fixtures")
    assert set(found) <= set(shipped_service().program.rules)
    first, *others = found["bone-density-low"]
    assert first.folder == "edges" and "fires" in first.how
    assert ("cases", "bone-density-low.yaml") in {(e.folder, e.file) for e in others}
    assert {entry.folder for entries in found.values() for entry in entries} >= {"edges", "cases"}


def test_the_keys_are_those_of_the_fixtures() -> None:
    assert set(EXPECTED) <= set(CHECKS)
    assert list(EDGES) == ["fires", "open", "other_side"]


def test_packaged_fixtures_go_before_those_of_the_checkout(tmp_path: Path) -> None:
    package = tmp_path / "cds"
    assert fixtures_folder(package) is None
    (tmp_path / "fixtures").mkdir()
    assert fixtures_folder(package) == tmp_path / "fixtures"
    (package / "_fixtures").mkdir(parents=True)
    assert fixtures_folder(package) == package / "_fixtures"
    assert fixtures_folder() == ROOT / "fixtures"
