"""Every stage over a folder: which run, what comes out, and when there is a program."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from cds.problems import Problem, RuleBookError, Severity
from cds.rulebook.compile import compile_book
from cds.rulebook.load import load_book
from cds.rulebook.vetting import load_program, vet_folder

BASE = Path(__file__).parent / "base"
SHIPPED = Path(__file__).parents[2] / "rules"
RULE = """
language: 1
rules:
  - id: added
    title: Added
    topic: t
    basis: precaution
    when: {WHEN}
    then: {limit: {thrust: barred}}
    while_unknown: nothing
    because: Test.
    evidence: [{source: made-up-2020}]
    owner: tests
    review_by: 2027-11-01
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    shutil.copytree(BASE, tmp_path, dirs_exist_ok=True)
    return tmp_path


def add(root: Path, text: str, name: str = "zz.yaml") -> set[str]:
    (root / name).write_text(text, encoding="utf-8")
    return {problem.code for problem in vet_folder(root).problems}


def rule(when: str) -> str:
    return RULE.replace("{WHEN}", when)


def test_a_sound_folder_gives_the_program_and_the_texts_of_its_files() -> None:
    vetted = vet_folder(BASE)
    assert vetted.problems == ()
    assert vetted.program == compile_book(load_book(BASE))
    assert set(vetted.texts) == {path.name for path in BASE.glob("*.yaml")}
    assert vetted.texts["rules.yaml"] == (BASE / "rules.yaml").read_text(encoding="utf-8")
    assert load_program(BASE) == vetted.program


def test_an_unreadable_file_stops_every_later_stage(root: Path) -> None:
    """The rule with a wrong name is not reported as long as the folder cannot be read."""
    (root / "bad.yaml").write_text("rules: [", encoding="utf-8")
    assert add(root, rule("{finding: nobody, is: yes}")) == {"yaml-syntax"}
    assert vet_folder(root).program is None


def test_a_wrong_shape_stops_the_checks(root: Path) -> None:
    (root / "bad.yaml").write_text("language: 1\nfindigns: {}\n", encoding="utf-8")
    assert add(root, rule("{finding: nobody, is: yes}")) == {"unknown-section"}


def test_a_failed_check_gives_no_program(root: Path) -> None:
    codes = add(root, rule("{finding: nobody, is: yes}"))
    assert codes and "unknown-section" not in codes
    assert vet_folder(root).program is None


def test_a_rule_of_one_side_only_gives_no_program(root: Path) -> None:
    """A rule of one side only: every earlier stage lets it pass."""
    codes = add(root, rule("{finding: pain_side, is: left}"))
    assert len(codes) == 1
    vetted = vet_folder(root)
    assert vetted.program is None
    assert "mirror" in next(iter(codes)) or "side" in next(iter(codes))


def test_a_warning_leaves_the_program_and_is_told(root: Path) -> None:
    """A source that nothing cites is worth saying, and no reason to refuse."""
    add(root, "language: 1\nsources: {spare: {title: Spare, year: 2020, status: read}}\n")
    vetted = vet_folder(root)
    assert [(p.code, p.severity) for p in vetted.problems] == [("never-cited", Severity.WARNING)]
    assert vetted.program is not None and "spare" in vetted.program.sources
    assert load_program(root) == vetted.program


def test_loading_raises_with_every_problem(root: Path) -> None:
    add(root, rule("{all: [{finding: nobody, is: yes}, {finding: no_one, is: yes}]}"))
    with pytest.raises(RuleBookError) as raised:
        load_program(root)
    assert raised.value.problems == vet_folder(root).problems
    assert len(raised.value.problems) >= 2


def test_problems_come_in_order_of_their_place(root: Path) -> None:
    add(root, rule("{finding: nobody, is: yes}"), "zz.yaml")
    add(root, rule("{finding: no_one, is: yes}").replace("id: added", "id: more"), "aa.yaml")
    places = [p.place for p in vet_folder(root).problems if p.place is not None]
    assert places[0].file == "aa.yaml"
    assert places == sorted(places, key=lambda place: (place.file, place.line, place.column))


@pytest.mark.parametrize("make", ["missing", "empty"])
def test_a_folder_without_rules_is_a_problem_not_a_crash(tmp_path: Path, make: str) -> None:
    root = tmp_path / "nothing" if make == "missing" else tmp_path
    vetted = vet_folder(root)
    assert vetted.program is None
    assert vetted.problems
    with pytest.raises(RuleBookError):
        load_program(root)


def test_the_shipped_book_has_no_error() -> None:
    """Only rules that local policy leaves off may be told of."""
    assert {problem.code for problem in vet_folder(SHIPPED).problems} <= {"off-by-policy"}


def test_what_the_mirror_finds_leaves_no_program(monkeypatch: pytest.MonkeyPatch) -> None:
    found = Problem("mirror", "not its own mirror image")
    monkeypatch.setattr("cds.rulebook.vetting.mirror_problems", lambda program: [found])
    vetted = vet_folder(BASE)
    assert (vetted.program, vetted.problems) == (None, (found,))
