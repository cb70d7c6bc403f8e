"""The fixture loader refuses what it does not understand, and lays a case over its base."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.fixtures import FixtureError, base, decider, laid_over, read

GOOD = "about: a\nsign_off: pending\ncase: {as_of: 2026-11-20, moment: contact}\nexpect: {}\n"


def written(tmp_path: Path, text: str, folder: str = "cases") -> Path:
    path = tmp_path / folder / "one.yaml"
    path.parent.mkdir()
    path.write_text(text, encoding="utf-8")
    return path


def test_laid_over_merges_removes_and_replaces() -> None:
    under = {"a": {"b": 1, "c": 2}, "list": [1, {"x": 1, "y": 2}], "gone": 1}
    over = {"a": {"b": 3}, "list": {"last": {"y": 4, "x": None}}, "gone": None}
    assert laid_over(under, over) == {"a": {"b": 3, "c": 2}, "list": [1, {"y": 4}]}
    assert under["a"] == {"b": 1, "c": 2}


def test_an_answer_replaces_whole() -> None:
    under = {"answers": {"power": {"value": "normal", "how": "examined"}, "pain": 3}}
    over = {"answers": {"power": {"missing": "declined"}, "pain": None}}
    assert laid_over(under, over) == {"answers": {"power": {"missing": "declined"}}}


def test_a_base_may_have_a_base() -> None:
    assert base("first-visit")["course"] == []
    assert len(base("sixth-visit")["course"]) == 5
    assert base("sixth-visit")["segments"] == base("first-visit")["segments"]


def test_a_good_file_is_read(tmp_path: Path) -> None:
    assert read(written(tmp_path, GOOD)).case == {"as_of": "2026-11-20", "moment": "contact"}


@pytest.mark.parametrize(
    ("text", "folder", "named"),
    [
        (GOOD + "wrong: 1\n", "cases", "wrong"),
        (GOOD.replace("pending", "done"), "cases", "sign_off"),
        (GOOD.replace("about: a\n", ""), "cases", "about"),
        (GOOD, "published", "reference"),
        (GOOD + "reference: {id: C01}\n", "published", "reference"),
        (GOOD + "base: no-such\n", "cases", "no-such"),
        (GOOD.replace("{}", "[]"), "cases", "expect"),
    ],
)
def test_a_wrong_file_is_refused(tmp_path: Path, text: str, folder: str, named: str) -> None:
    with pytest.raises(FixtureError, match=named):
        read(written(tmp_path, text, folder))


def test_policy_choices_are_those_of_the_book() -> None:
    assert decider({"early_thrust": "acute_pattern"}).program.digest != decider().program.digest
    with pytest.raises(FixtureError, match="no policy"):
        decider({"no_such": "off"})
    with pytest.raises(FixtureError, match="no choice"):
        decider({"early_thrust": "always"})
