"""Ladder, policy, own conclusions and titles, read field by field."""

from __future__ import annotations

import pytest

from cds.rulebook.book import Evidence, PolicyChoice
from cds.rulebook.fields import Sink
from cds.rulebook.shape_vocabulary import (
    read_conclusion,
    read_head,
    read_ladder,
    read_policy,
    read_titles,
)
from cds.vocabulary.model import Careful, Combine, Conclusion, Family, Ladder, Rung, Scope
from tests.rulebook.trees import entry, node

LADDER = """
rungs:
  nothing: {title: Nothing}
  thrust: {title: Thrust, gate: [Consent., Quiet.]}
families:
  thrust: {title: Thrust, group: hands_on, limits: [barred, allowed], rungs: {thrust: allowed}}
  home_flexion: {title: Flexion, group: home, limits: [barred, allowed]}
"""


def test_ladder_in_written_order() -> None:
    sink = Sink()
    assert read_ladder(node(LADDER), sink) == Ladder(
        (Rung("nothing", "Nothing"), Rung("thrust", "Thrust", ("Consent.", "Quiet."))),
        (
            Family("thrust", "Thrust", "hands_on", ("barred", "allowed"), (("thrust", "allowed"),)),
            Family("home_flexion", "Flexion", "home", ("barred", "allowed")),
        ),
    )
    assert sink.problems == []


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("{thrust: allowed}", "{thurst: allowed}", "unknown-word"),
        ("{thrust: allowed}", "{thrust: alowed}", "unknown-word"),
        ("hands_on, limits: [barred, allowed]", "hands_on, limits: [allowed]", "unknown-word"),
        ("home, limits", "hoem, limits", "unknown-word"),
        (", rungs: {thrust: allowed}", "", "missing-key"),
        ("group: hands_on", "group: position", "misplaced-key"),
    ],
)
def test_wrong_ladder(old: str, new: str, code: str) -> None:
    sink = Sink()
    assert old in LADDER
    read_ladder(node(LADDER.replace(old, new)), sink)
    assert code in {problem.code for problem in sink.problems}


def test_policy() -> None:
    sink = Sink()
    text = "title: T, reason: R, evidence: [{common_practice: so}]"
    evidence = (Evidence(common_practice="so"),)
    whole = read_policy(entry(f"floor: {{value: 5, range: [1, 12], {text}}}"), sink)
    assert whole == PolicyChoice("floor", "T", 5, (), 1, 12, "R", evidence)
    words = read_policy(
        entry(f"by: {{value: off, values: [off, on], refused: {{day: No.}}, {text}}}"), sink
    )
    assert words == PolicyChoice(
        "by", "T", "off", ("off", "on"), None, None, "R", evidence, (("day", "No."),)
    )
    assert sink.problems == []


def test_conclusion() -> None:
    sink = Sink()
    assert read_conclusion(
        entry(
            "stage: {title: S, combine: worst, scope: both, values: [a, b], otherwise: a, "
            "careful: more, output: true, keys: [x, y]}"
        ),
        sink,
    ) == Conclusion(
        "stage", "S", Combine.WORST, (Scope.CASE, Scope.SEGMENT), ("x", "y"), ("a", "b"),
        otherwise="a", careful=Careful.MORE, output=True,
    )  # fmt: skip
    assert read_conclusion(entry("it: {title: S, combine: flag}"), sink) == Conclusion(
        "it", "S", Combine.FLAG
    )
    assert sink.problems == []


def test_scale_owes_what_holds_otherwise() -> None:
    sink = Sink()
    read_conclusion(entry("it: {title: S, combine: worst, values: [a, b]}"), sink)
    assert [problem.code for problem in sink.problems] == ["missing-key"]


def test_titles_and_head() -> None:
    sink = Sink()
    assert read_titles(node("{b: Two, a: One}"), "concerns", sink) == {"a": "One", "b": "Two"}
    assert read_head(node("{title: T, scope: [One., Two.]}"), sink) == ("T", ("One.", "Two."))
    assert sink.problems == []
