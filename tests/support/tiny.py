"""Tiny rule books for tests: a few lines of YAML over a fixed ladder, down to a Program."""

from __future__ import annotations

from cds.engine.chainer import Chainer
from cds.engine.port import Inputs
from cds.engine.readings import Readings
from cds.problems import sorted_problems
from cds.rulebook.compile import compile_book
from cds.rulebook.program import Program
from cds.rulebook.reading import read_text
from cds.rulebook.shape import shape_book
from cds.vocabulary.values import Amount, Choice, Input

FRAME = """
language: 1
book: {title: Tiny, scope: [For tests only.]}
destinations: {clinic: A clinic, hospital: A hospital}
concerns: {fracture: Fracture}
ladder:
  rungs:
    no_treatment: {title: Nothing}
    exercise_only: {title: Exercise}
    muscle_energy_low: {title: Muscle energy at low force}
    muscle_energy: {title: Muscle energy, gate: [guarding no worse]}
    mobilization_1: {title: Grade I, gate: [guarding no worse]}
    mobilization_2: {title: Grade II, gate: [guarding no worse]}
    mobilization_3: {title: Grade III, gate: [guarding no worse]}
    mobilization_4: {title: Grade IV, gate: [guarding no worse]}
    thrust: {title: Thrust, gate: [consent]}
  families:
    muscle_energy:
      title: Muscle energy
      group: hands_on
      limits: [barred, low_force, full]
      rungs: {muscle_energy_low: low_force, muscle_energy: full}
    mobilization:
      title: Mobilization
      group: hands_on
      limits: [barred, grade_1, grade_2, grade_3, grade_4]
      rungs: {mobilization_1: grade_1, mobilization_2: grade_2, mobilization_3: grade_3,
              mobilization_4: grade_4}
    thrust: {title: Thrust, group: hands_on, limits: [barred, allowed], rungs: {thrust: allowed}}
    home_flexion: {title: Home flexion, group: home, limits: [barred, allowed]}
    home_extension: {title: Home extension, group: home, limits: [barred, allowed]}
    position_prone: {title: Prone, group: position, limits: [barred, allowed]}
    position_sitting: {title: Sitting, group: position, limits: [barred, allowed]}
sources: {s-one: {title: A source, year: 2020, status: read}}
defaults: {topic: test, owner: tests, approved: 2026-01-01, review_by: 2027-01-01}
findings:
  numb: {ask: "Numb?", title: Numbness, kind: presence, adverse: [yes], ask_alone: true}
  fall: {ask: "A fall?", title: Fall, kind: presence, adverse: [yes]}
  density: {ask: "T-score?", title: T-score, kind: number, unit: "1", step: 0.1, range: [-6, 4]}
  level_pain:
    {ask: "Pain?", title: Pain on provocation, kind: choice, values: [none, local, concordant],
     ordered: true}
"""


def tiny(rules: str, extra: str = "") -> Program:
    """A Program of these rules (a YAML list under `rules:`), over the fixed frame.

    `extra` is another file of the book (without `language`).
    """
    frame = FRAME.replace("  level_pain:", "  segment.provocation:")
    texts = {
        "frame.yaml": frame,
        "rules.yaml": "language: 1\ndefaults: {topic: test, owner: tests, approved: 2026-01-01, "
        "review_by: 2027-01-01}\nrules:\n" + rules,
    }
    if extra:
        texts["extra.yaml"] = "language: 1\n" + extra
    files = {}
    problems = []
    for name, text in texts.items():
        node, found = read_text(text.encode(), name)
        problems += found
        if node is not None:
            files[name] = node
    book, found = shape_book(files)
    problems += found
    # the frame has no positional table: every other problem is a mistake of the test
    problems = [p for p in problems if p.code != "missing-section"]
    if book is None or problems:
        raise AssertionError("\n".join(str(p) for p in sorted_problems(problems)))
    return compile_book(book)


def yes() -> Choice:
    """The answer yes."""
    return Choice(("yes",))


def no() -> Choice:
    """The answer no."""
    return Choice(("no",))


def word(text: str) -> Choice:
    """One word."""
    return Choice((text,))


def amount(steps: int) -> Amount:
    """An exact number of steps."""
    return Amount(steps, steps)


def read(program: Program, values: dict[str, Input], *levels: str) -> Readings:
    """Readings of one evaluation by the chainer."""
    outcome = Chainer(program).evaluate(Inputs(values, frozenset(levels)))
    return Readings(program, outcome)
