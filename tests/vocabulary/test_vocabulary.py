"""The names of one edition."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cds.vocabulary.core import PARAMETERS
from cds.vocabulary.model import Finding
from cds.vocabulary.vocabulary import Vocabulary, none_of_these
from tests.vocabulary.sample import (
    DAYS_28,
    LADDER,
    THIS_SESSION,
    VOCAB,
    Names,
    choice,
    is_,
    presence,
    vocabulary,
)


def test_names_come_from_whatever_carries_them() -> None:
    bare = Vocabulary.of(Names({}, {}, LADDER, {}, {}))
    assert bare.destinations == ()
    assert bare.parameters == PARAMETERS
    assert VOCAB.destinations == ("emergency_department", "physician")
    assert vocabulary(gap_days=7).parameters["gap_days"] == 7
    assert VOCAB.hands_on == ("gentle", "thrust")
    assert "segment.slip" in VOCAB.segment_findings
    assert not set(VOCAB.segment_findings) & set(VOCAB.case_findings)


def test_a_vocabulary_is_not_changed_by_its_source() -> None:
    source = {"it": presence("it")}
    vocab = Vocabulary.of(Names(source, {}, LADDER, {}, {}))
    source.clear()
    assert "it" in vocab.findings
    with pytest.raises(TypeError):
        vocab.findings["it"] = presence("it")  # type: ignore[index]


@pytest.mark.parametrize(
    ("finding", "word"),
    [
        (presence("it"), "no"),
        (presence("it", adverse=()), "no"),
        (presence("it", adverse=("no",)), "yes"),
        (choice("it", "bad", "good", "better", adverse=("bad",)), "good"),
        (choice("it", "bad", adverse=("bad",)), None),
        (presence("it", ask_alone=True), None),
        (VOCAB.findings["pain"], None),
    ],
)
def test_none_of_these_is_the_first_word_that_is_not_adverse(
    finding: Finding, word: str | None
) -> None:
    assert none_of_these(finding) == word


def test_a_block_answers_its_case_findings_only() -> None:
    members = ("cancer_ever", "fever", "infection_risk", "slip_known", "pregnant")
    assert VOCAB.blocks_of == {"serious": members}
    assert frozenset(members) == VOCAB.blocked


def test_leaning_goes_through_others() -> None:
    vocab = vocabulary(
        presence("a", good_for=replace(DAYS_28, with_=(("b", THIS_SESSION),))),
        presence("b", unchanged_not_with=("c",)),
        presence("c", applies_when=is_("d", "yes")),
        presence("d", voided_by=("a",)),
    )
    assert vocab.leans == {
        "a": frozenset("bcd"), "b": frozenset("cd"), "c": frozenset("d"), "d": frozenset(),
    }  # fmt: skip
