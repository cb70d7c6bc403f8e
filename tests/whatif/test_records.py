"""Entries of the record that an open feature waits for."""

from __future__ import annotations

from dataclasses import replace

from cds.vocabulary.values import Choice, Input
from cds.whatif.records import Place, bearing, places
from cds.whatif.replies import Entry
from tests.whatif.cases import fixture, shipped

VOCABULARY = shipped().vocabulary


def place(key: str, *values: str) -> Place:
    return Place("course", key, key, tuple(Entry("course", key, value) for value in values))


def test_only_empty_places_may_be_filled() -> None:
    case = fixture("clinic-2-flat-course")
    assert case.course
    full = {p.key for p in places(VOCABULARY, case, "course")}
    course = (*case.course[:-1], replace(case.course[-1], settled=None))
    open_now = {p.key for p in places(VOCABULARY, replace(case, course=course), "course")}
    assert open_now - full <= {"settled"}
    assert "settled" in open_now


def test_a_history_is_not_invented() -> None:
    case = replace(fixture("clinic-2-flat-course"), course=None)
    (found,) = places(VOCABULARY, case, "course")
    assert [entry.value for entry in found.entries] == ["none"]
    assert places(VOCABULARY, replace(case, course=()), "course") == []
    assert places(VOCABULARY, replace(case, segments=None), "segments") == []


def test_an_entry_bears_on_a_feature_when_it_alone_decides_it() -> None:
    def probe(entries: tuple[Entry, ...]) -> Input | None:
        said = {entry.key: entry.value for entry in entries}
        return Choice(("bad",)) if said.get("adverse") == "serious" else None

    found = bearing([place("adverse", "none", "serious"), place("spread", "none")], probe)
    assert [p.key for p in found] == ["adverse"]


def test_entries_that_only_decide_together_bear_on_it_too() -> None:
    def probe(entries: tuple[Entry, ...]) -> Input | None:
        said = {entry.key for entry in entries}
        return Choice(("same",)) if {"before", "after"} <= said else None

    found = bearing([place("before", "x"), place("after", "x"), place("other", "x")], probe)
    assert [p.key for p in found] == ["before", "after"]


def test_training_consent_and_person() -> None:
    case = fixture("empty-case")
    assert {p.key for p in places(VOCABULARY, case, "clinician")} == {*VOCABULARY.hands_on}
    assert [p.key for p in places(VOCABULARY, case, "consents")] == ["today"]
    assert {p.key for p in places(VOCABULARY, case, "patient", (17, 18))} == {"age", "sex"}
    assert [p.key for p in places(VOCABULARY, case, "referrals")] == ["all"]
    assert places(VOCABULARY, case, "today") == []
